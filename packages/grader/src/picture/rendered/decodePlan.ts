import type { ColourSpace, PictureFormat } from "@tonefall/exif-reader";
import type { Metadata } from "sharp";
import { GraderError } from "../../model/errors.ts";
import type { Note } from "../../model/note.ts";
import { type CodeMeaning, srgb } from "../colour/codeMeaning.ts";
import { statedMeaning } from "../colour/statedMeaning.ts";
import type { PictureFile } from "../source/openSource.ts";

/** Enough of a file to hold what PNG and AVIF say of colour before their pixels. */
const HEAD_BYTES = 64 * 1024;

/** Smaller pictures are decoded whole: too few pixels would stand for the rest, and little time would be won. */
const QUICK_FROM_PIXELS = 4e6;

/** What a decoder needs to know from Exif, and how to decode. */
export interface RenderedOptions {
  /** Orientation of the stored pixels, 1 to 8. */
  readonly orientation: number;
  /** Null where Exif says nothing. */
  readonly colourSpace: ColourSpace | null;
  /** Take every third pixel across and down of a large JPEG. */
  readonly quick: boolean;
  /** Gamma of the codes where the file names no curve; null for sRGB's curve. */
  readonly gamma: number | null;
}

/** How a picture is to be decoded, and what its codes will then mean. */
export interface DecodePlan {
  /** The decoder drops the alpha sample of 8-bit grey, so grey with one is decoded as equal red, green and blue. */
  readonly space: "srgb" | "rgb16" | "b-w" | "grey16";
  readonly depth: "uchar" | "ushort";
  readonly meaning: CodeMeaning;
  readonly notes: readonly Note[];
  /** Size of a picture that is to be decoded quickly. */
  readonly quickFrom: { readonly width: number; readonly height: number } | null;
}

/**
 * Decides how a picture is to be decoded, by its metadata and what its file says of its colour.
 *
 * @throws {@link GraderError} `unsupported-colour`
 */
export async function planDecode(
  file: PictureFile,
  metadata: Metadata,
  { colourSpace, gamma, quick }: RenderedOptions,
): Promise<DecodePlan> {
  const quickFrom = quick ? quickSize(metadata) : null;
  const sixteen = metadata.depth === "ushort" || metadata.depth === "short";
  const depth = sixteen ? "ushort" : "uchar";
  const grey = metadata.space === "b-w" || metadata.space === "grey16";
  const space = storedSpace({ grey, sixteen, alpha: metadata.hasAlpha });
  const notes: Note[] = [];
  if ((metadata.pages ?? 1) > 1) {
    notes.push({
      code: "first-page-only",
      message: `The file holds ${metadata.pages} pictures; the first is graded.`,
    });
  }
  if (metadata.depth === "float" || metadata.depth === "double" || metadata.depth === "uint") {
    throw new GraderError(
      "unsupported-colour",
      "The picture holds floating-point or 32-bit samples, which Tonefall does not read; export it with 8 or 16 bits",
    );
  }
  const own = statedMeaning({
    format: FORMATS[metadata.format] ?? "tiff",
    model: modelOf(metadata, grey),
    icc: metadata.icc,
    head: await file.head(HEAD_BYTES),
    colourSpace,
    gamma,
  });
  notes.push(...own.notes);
  if (own.meaning) return { space, depth, meaning: own.meaning, notes, quickFrom };
  notes.push({
    code: "converted-to-srgb",
    message: `The picture's colour (${own.named}) was converted to sRGB before measuring; clipping is counted after the conversion.`,
  });
  const description = `${own.named}, converted to sRGB`;
  return {
    space: sixteen ? "rgb16" : "srgb",
    depth,
    meaning: srgb(3, { description, from: "converted" }),
    notes,
    quickFrom,
  };
}

/** A picture's size where it is one to decode quickly: other formats gain nothing by it. */
function quickSize({ format, width, height }: Metadata): DecodePlan["quickFrom"] {
  return format === "jpeg" && width * height >= QUICK_FROM_PIXELS ? { width, height } : null;
}

/** Formats whose own words on colour are read, by the decoder's names for them. */
const FORMATS: Readonly<Record<string, PictureFormat>> = {
  jpeg: "jpeg",
  png: "png",
  webp: "webp",
  heif: "avif",
};

function modelOf({ space }: Metadata, grey: boolean): string {
  if (grey) return "grey";
  return space === "srgb" || space === "rgb16" ? "rgb" : space;
}

function storedSpace(of: { grey: boolean; sixteen: boolean; alpha: boolean }): DecodePlan["space"] {
  if (of.grey && of.sixteen) return "grey16";
  if (of.grey && !of.alpha) return "b-w";
  return of.sixteen ? "rgb16" : "srgb";
}
