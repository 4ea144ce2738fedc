import { type ColourSpace, damagedChunk, type PictureFormat } from "@tonefall/exif-reader";
import type { Note } from "../../model/note.ts";
import { codePointsMeaning } from "./cicp.ts";
import {
  assumedSrgb,
  briefMeaning,
  type CodeMeaning,
  exifMeaning,
  profileMeaning,
} from "./codeMeaning.ts";
import { readIccProfile } from "./iccProfile.ts";
import { isobmffColour } from "./isobmffColour.ts";
import { type PngChunks, pngColour, readPngChunks } from "./pngColour.ts";

/** What is known of a picture's colour before its pixels are decoded. */
export interface StatedColour {
  readonly format: PictureFormat;
  /** The samples' kind: `grey`, `rgb`, or another colour model by its name. */
  readonly model: "grey" | "rgb" | (string & {});
  /** The embedded profile; undefined where the decoder found none that it could read. */
  readonly icc: Uint8Array | undefined;
  /** The file's first bytes, up to the pixels. */
  readonly head: Uint8Array;
  /** What Exif says; null where it says nothing. */
  readonly colourSpace: ColourSpace | null;
  /** Gamma of the codes where the file names no curve; null for sRGB's curve. */
  readonly gamma: number | null;
}

/** What a picture's codes mean, or that only a colour engine can say. */
export interface StatedMeaning {
  /** Null where the picture must go through a colour engine first. */
  readonly meaning: CodeMeaning | null;
  /** The profile's own name, or the colour model's, for a picture that needs an engine. */
  readonly named: string;
  readonly notes: readonly Note[];
}

/** The mark that an ICC profile has in a JPEG's segments, and in a WebP's chunks. */
const PROFILE_MARKS: Readonly<Record<string, string>> = { jpeg: "ICC_PROFILE\0", webp: "ICCP" };

/**
 * What a picture's codes mean by what the file says, in this order: a profile of curves and colorants, what PNG or AVIF
 * state, Exif, the brief; sRGB where nothing does.
 *
 * @throws {@link GraderError} `unsupported-colour` for high dynamic range curves
 */
export function statedMeaning(stated: StatedColour): StatedMeaning {
  const { format, model, head, colourSpace, gamma } = stated;
  const channels = model === "grey" ? 1 : 3;
  const png = format === "png" ? readPngChunks(head) : null;
  const notes: Note[] = (png?.damaged ?? []).map(damagedChunk);
  // A decoder gives a profile whatever its checksum.
  const embedded = png?.damaged.includes("iCCP") ? undefined : stated.icc;
  const profile = embedded ? readIccProfile(embedded) : null;
  const isUnreadable = !profile && (stated.icc !== undefined || beginsProfile(png, format, head));
  if (isUnreadable) notes.push(PROFILE_UNREADABLE);
  const named = profile?.description ?? model;
  const isRgbOrGrey = model === "grey" || model === "rgb";
  const needsEngine =
    !isRgbOrGrey || profile?.kind === "engine" || (profile?.kind === "grey" && model !== "grey");
  if (needsEngine) return { meaning: null, named, notes };
  const own =
    profileMeaning(profile, channels) ??
    (png ? pngColour(png, channels) : heifMeaning(format, head, channels)) ??
    exifMeaning(colourSpace, channels);
  if (own && gamma !== null) notes.push(transferNotUsed(own));
  const because = isUnreadable ? "its profile cannot be read" : "the file has no profile";
  const meaning =
    own ?? (gamma === null ? assumedSrgb(channels, because) : briefMeaning(gamma, channels));
  return { meaning, named, notes };
}

/** Whether a file holds a profile that the decoder could not read. */
function beginsProfile(png: PngChunks | null, format: PictureFormat, head: Uint8Array): boolean {
  if (png) return png.chunks.has("iCCP") || png.damaged.includes("iCCP");
  const mark = PROFILE_MARKS[format];
  return mark !== undefined && new TextDecoder("latin1").decode(head).includes(mark);
}

/** What an AVIF says of its codes outside a profile. */
function heifMeaning(format: PictureFormat, head: Uint8Array, channels: 1 | 3): CodeMeaning | null {
  const points = format === "avif" ? isobmffColour(head) : null;
  return points && codePointsMeaning(points, channels);
}

function transferNotUsed({ colour }: CodeMeaning): Note {
  return {
    code: "transfer-not-used",
    message: `The brief's transfer was ignored, because the file itself says what its codes mean (${colour.description}); leave the transfer out.`,
  };
}

const PROFILE_UNREADABLE: Note = {
  code: "profile-unreadable",
  message:
    "The embedded colour profile cannot be read, so the rest of what the file says of its colour was used, or sRGB; export the picture again.",
};
