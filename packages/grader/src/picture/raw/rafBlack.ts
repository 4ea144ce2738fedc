import { tiffDirectories } from "@tonefall/exif-reader";
import type { RepeatPattern } from "./dngTags.ts";

const FUJI_DIRECTORY = 0xf000;
const FUJI_BLACK = 0xf00a;

/**
 * The black levels that a RAF file states for its filter pattern, 2 x 2 or 6 x 6: a TIFF stands at the head of its pixel
 * data, whose sub-directory 0xF000 holds them as tag 0xF00A [EXIFTOOL, FujiFilm].
 *
 * @param bytes - the whole file
 * @returns null when the file is not a RAF, or an older one without that TIFF
 */
export function rafBlack(bytes: Uint8Array): RepeatPattern | null {
  const magic = "FUJIFILMCCD-RAW";
  if (bytes.length < 108 || [...magic].some((c, i) => bytes[i] !== c.charCodeAt(0))) return null;
  const offset = new DataView(bytes.buffer, bytes.byteOffset).getUint32(100);
  const directories = tiffDirectories(bytes.subarray(offset), FUJI_DIRECTORY);
  for (const directory of directories) {
    const values = directory.numbers(FUJI_BLACK);
    const side = Math.sqrt(values?.length ?? 0);
    if (values && (side === 2 || side === 6)) return { rows: side, columns: side, values };
  }
  return null;
}
