import type { Note } from "../../model/note.ts";
import { codePointsMeaning } from "../colour/cicp.ts";
import { assumedSrgb, profileMeaning } from "../colour/codeMeaning.ts";
import { readIccProfile } from "../colour/iccProfile.ts";
import type { Frame } from "../frame.ts";
import { renderedFrame } from "../renderedFrame.ts";
import type { HeicPicture } from "./heicPicture.ts";

const PROFILE_NEEDS_ENGINE: Note = {
  code: "profile-not-used",
  message:
    "The picture's colour profile holds tables, which Tonefall does not read in HEIC files; the codes are read as sRGB.",
};

/**
 * The frame of a decoded HEIC picture, by its profile, its code points, or as sRGB.
 *
 * @throws {@link GraderError} `unsupported-colour` for high dynamic range curves
 */
export function heicFrame(picture: HeicPicture): Frame {
  const profile = picture.icc ? readIccProfile(picture.icc) : null;
  const meaning =
    profileMeaning(profile, 3) ??
    (picture.nclx && codePointsMeaning(picture.nclx, 3)) ??
    assumedSrgb(3);
  return renderedFrame({
    width: picture.width,
    height: picture.height,
    samples: picture.samples,
    stride: picture.channels,
    bits: picture.bits,
    fullScale: picture.samples instanceof Uint8Array ? 255 : 65535,
    orientation: 1,
    meaning,
    notes: profile?.kind === "engine" ? [...picture.notes, PROFILE_NEEDS_ENGINE] : picture.notes,
  });
}
