import type { PictureFormat } from "../pictureFormat.ts";
import type { ByteSource } from "../source/byteSource.ts";
import { mrwBlocks, rafBlocks, rw2Blocks } from "./cameraRaw.ts";
import { isobmffBlocks } from "./isobmff.ts";
import { jpegBlocks } from "./jpeg.ts";
import {
  exifBlock,
  type MetadataBlocks,
  MOST_EXIF_BYTES,
  MOST_XMP_BYTES,
  noBlocks,
} from "./metadataBlocks.ts";
import { pngBlocks } from "./png.ts";
import { webpBlocks } from "./webp.ts";

/** Finds the Exif blocks and XMP packets of a file, reading no more of it than that takes. */
export async function locateMetadata(
  file: ByteSource,
  format: PictureFormat,
): Promise<MetadataBlocks> {
  switch (format) {
    case "jpeg":
      return jpegBlocks(file);
    case "png":
      return pngBlocks(file);
    case "webp":
      return webpBlocks(file);
    case "avif":
    case "heic":
    case "cr3":
      return isobmffBlocks(file);
    case "raf":
      return rafBlocks(file);
    case "rw2":
      return rw2Blocks(file);
    case "mrw":
      return mrwBlocks(file);
    case "exif":
      return { ...noBlocks(), tiff: [exifBlock(await file.read(0, MOST_EXIF_BYTES))] };
    case "xmp":
      return { ...noBlocks(), xmp: [await file.read(0, MOST_XMP_BYTES)] };
    case "gif":
    case "bmp":
    case "psd":
    case "jxl":
    case "jp2":
    case "crw":
    case "x3f": {
      const message = `The metadata of ${format.toUpperCase()} files is not read.`;
      return { ...noBlocks(), notes: [{ code: "metadata-not-read", message }] };
    }
    default:
      return { ...noBlocks(), tiff: [{ source: file, root: "ifd0" }] };
  }
}
