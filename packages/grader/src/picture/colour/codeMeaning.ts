import type { ColourSpace } from "@tonefall/exif-reader";
import {
  ADOBE_RGB,
  D65_XY,
  gammaTransfer,
  LINEAR,
  LUMINANCE_ROWS,
  PRIMARIES,
  SRGB,
  type ToSrgb,
  type TransferFunction,
  toSrgbFromPrimaries,
} from "@tonefall/tone-core";
import type { Frame } from "../frame.ts";
import type { IccProfile } from "./iccProfile.ts";

/** How a rendered picture's codes become luminance: a curve a channel and the share of each channel. */
export interface CodeMeaning {
  /** One curve a tone channel: one for grey, three for red, green and blue. */
  readonly curves: readonly TransferFunction[];
  /** Share of each channel in luminance; sums to 1. */
  readonly luminanceRow: readonly number[];
  /** What red, green and blue become in linear sRGB; left out where they are sRGB's own. */
  readonly toSrgb?: ToSrgb | undefined;
  readonly colour: Frame["colour"];
}

/** sRGB, assumed where nothing says what the codes mean. */
export function assumedSrgb(
  channels: 1 | 3,
  because: "the file has no profile" | "its profile cannot be read" = "the file has no profile",
): CodeMeaning {
  return srgb(channels, { description: `sRGB, assumed: ${because}`, from: "assumed" });
}

/** What a brief says of codes where the file says nothing; primaries are those of sRGB. */
export function briefMeaning(gamma: number, channels: 1 | 3): CodeMeaning {
  const description = `${gamma === 1 ? "linear light" : `gamma ${gamma}`}, as the brief says`;
  const curve = gamma === 1 ? LINEAR : gammaTransfer(gamma);
  return meaning(channels, curve, LUMINANCE_ROWS.srgb, { description, from: "brief" });
}

/** What Exif's colour space says where no profile is embedded; null for what names no curve. */
export function exifMeaning(colourSpace: ColourSpace | null, channels: 1 | 3): CodeMeaning | null {
  if (colourSpace === "srgb") {
    return srgb(channels, { description: "sRGB, as Exif says", from: "exif" });
  }
  if (colourSpace === "adobe-rgb") {
    const colour = { description: "Adobe RGB, as Exif says", from: "exif" } as const;
    return meaning(
      channels,
      ADOBE_RGB,
      LUMINANCE_ROWS.adobeRgb,
      colour,
      toSrgbFromPrimaries(PRIMARIES.adobeRgb, D65_XY),
    );
  }
  return null;
}

/** sRGB, for a reason of its own. */
export function srgb(channels: 1 | 3, colour: Frame["colour"]): CodeMeaning {
  return meaning(channels, SRGB, LUMINANCE_ROWS.srgb, colour);
}

/** One curve for every channel, and a row. */
export function meaning(
  channels: 1 | 3,
  curve: TransferFunction,
  luminanceRow: readonly number[],
  colour: Frame["colour"],
  toSrgb?: ToSrgb,
): CodeMeaning {
  return channels === 1
    ? { curves: [curve], luminanceRow: [1], colour }
    : { curves: [curve, curve, curve], luminanceRow, colour, toSrgb };
}

/** What a matrix or grey profile says of that many channels, or null when they do not fit together. */
export function profileMeaning(profile: IccProfile | null, channels: 1 | 3): CodeMeaning | null {
  if (!profile) return null;
  const colour = { description: profile.description, from: "icc" } as const;
  if (profile.kind === "matrix" && channels === 3) {
    const { curves, luminanceRow, toSrgb } = profile;
    return { curves, luminanceRow, toSrgb, colour };
  }
  if (profile.kind === "matrix") {
    // A grey picture with an RGB profile holds that profile's greys, whose luminance follows its curve.
    return { curves: [profile.curves[1]], luminanceRow: [1], colour };
  }
  if (profile.kind === "grey" && channels === 1) {
    return { curves: [profile.curve], luminanceRow: [1], colour };
  }
  return null;
}
