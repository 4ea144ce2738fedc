import type {
  ColourSpace,
  CompositeImage,
  Contrast,
  CustomRendered,
  ExposureMode,
  ExposureProgramme,
  Field,
  GainControl,
  LightSource,
  MeteringPattern,
  Saturation,
  SceneType,
  SensitivityType,
  Sharpness,
} from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import type { NumberTag } from "../tag/tags.ts";
import { enumeration } from "./fieldRules.ts";

/*
 * Fields that are a code with a published meaning [EXIF]. A code without one becomes `other`, with the code in `found`,
 * where the standard has such a value or where it only matters that the setting is not normal. Elsewhere the field is null,
 * `not-defined`.
 */

/** Reads a field that is a code. */
type CodeRule<T> = (tags: TagSource) => Field<T>;

/** The rule of one tag; what its codes mean is said once, not anew for every picture. */
function codeRule<T extends string>(
  tag: NumberTag,
  meanings: Readonly<Record<number, T>>,
  unlisted?: T,
): CodeRule<T> {
  return (tags) => enumeration(tags.numbers(tag), meanings, unlisted);
}

/** What the codes of MeteringMode mean; every other code is `other`. */
export const METERING_PATTERNS: Readonly<Record<number, MeteringPattern>> = {
  0: "unknown",
  1: "average",
  2: "centre-weighted",
  3: "spot",
  4: "multi-spot",
  5: "multi-segment",
  6: "partial",
  255: "other",
};

/** MeteringMode. */
export const meteringPattern: CodeRule<MeteringPattern> = codeRule(
  "MeteringMode",
  METERING_PATTERNS,
  "other",
);

/** ExposureProgram; 9 is not in the standard, but cameras write it for bulb. */
export const programme: CodeRule<ExposureProgramme> = codeRule("ExposureProgram", {
  0: "not-defined",
  1: "manual",
  2: "programme",
  3: "aperture-priority",
  4: "shutter-priority",
  5: "creative",
  6: "action",
  7: "portrait",
  8: "landscape",
  9: "bulb",
});

/** ExposureMode. */
export const mode: CodeRule<ExposureMode> = codeRule("ExposureMode", {
  0: "auto",
  1: "manual",
  2: "auto-bracket",
});

/** ColorSpace; 2 is not in the standard, but editors and cameras write it for Adobe RGB. */
export const colourSpace: CodeRule<ColourSpace> = codeRule(
  "ColorSpace",
  { 1: "srgb", 2: "adobe-rgb", 65535: "uncalibrated" },
  "other",
);

/** Contrast. */
export const contrast: CodeRule<Contrast> = codeRule("Contrast", {
  0: "normal",
  1: "soft",
  2: "hard",
});

/** Saturation. */
export const saturation: CodeRule<Saturation> = codeRule("Saturation", {
  0: "normal",
  1: "low",
  2: "high",
});

/** Sharpness. */
export const sharpness: CodeRule<Sharpness> = codeRule("Sharpness", {
  0: "normal",
  1: "soft",
  2: "hard",
});

/** SceneCaptureType. */
export const sceneType: CodeRule<SceneType> = codeRule("SceneCaptureType", {
  0: "standard",
  1: "landscape",
  2: "portrait",
  3: "night",
});

/** CustomRendered; phones write 2 to 8 for their own merged and portrait pictures. */
export const customRendered: CodeRule<CustomRendered> = codeRule(
  "CustomRendered",
  { 0: "normal", 1: "custom" },
  "other",
);

/** CompositeImage. */
export const composite: CodeRule<CompositeImage> = codeRule("CompositeImage", {
  0: "unknown",
  1: "no",
  2: "general",
  3: "captured",
});

/** SensitivityType. */
export const sensitivityType: CodeRule<SensitivityType> = codeRule("SensitivityType", {
  0: "unknown",
  1: "sos",
  2: "rei",
  3: "iso-speed",
  4: "sos-and-rei",
  5: "sos-and-iso-speed",
  6: "rei-and-iso-speed",
  7: "sos-and-rei-and-iso-speed",
});

/** GainControl. */
export const gainControl: CodeRule<GainControl> = codeRule("GainControl", {
  0: "none",
  1: "low-gain-up",
  2: "high-gain-up",
  3: "low-gain-down",
  4: "high-gain-down",
});

/** LightSource. */
export const lightSource: CodeRule<LightSource> = codeRule(
  "LightSource",
  {
    0: "unknown",
    1: "daylight",
    2: "fluorescent",
    3: "tungsten",
    4: "flash",
    9: "fine-weather",
    10: "cloudy",
    11: "shade",
    12: "daylight-fluorescent",
    13: "day-white-fluorescent",
    14: "cool-white-fluorescent",
    15: "white-fluorescent",
    16: "warm-white-fluorescent",
    17: "standard-a",
    18: "standard-b",
    19: "standard-c",
    20: "d55",
    21: "d65",
    22: "d75",
    23: "d50",
    24: "studio-tungsten",
    255: "other",
  },
  "other",
);
