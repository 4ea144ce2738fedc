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
import { enumeration } from "./fieldRules.ts";

/*
 * Fields that are a code with a published meaning [EXIF]. A code without one becomes `other`, with the code in `found`,
 * where the standard has such a value or where it only matters that the setting is not normal. Elsewhere the field is null,
 * `not-defined`.
 */

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
export function meteringPattern(tags: TagSource): Field<MeteringPattern> {
  return enumeration(tags.numbers("MeteringMode"), METERING_PATTERNS, "other");
}

/** ExposureProgram; 9 is not in the standard, but cameras write it for bulb. */
export function programme(tags: TagSource): Field<ExposureProgramme> {
  return enumeration(tags.numbers("ExposureProgram"), {
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
}

/** ExposureMode. */
export function mode(tags: TagSource): Field<ExposureMode> {
  return enumeration(tags.numbers("ExposureMode"), { 0: "auto", 1: "manual", 2: "auto-bracket" });
}

/** ColorSpace; 2 is not in the standard, but editors and cameras write it for Adobe RGB. */
export function colourSpace(tags: TagSource): Field<ColourSpace> {
  return enumeration(
    tags.numbers("ColorSpace"),
    { 1: "srgb", 2: "adobe-rgb", 65535: "uncalibrated" },
    "other",
  );
}

/** Contrast. */
export function contrast(tags: TagSource): Field<Contrast> {
  return enumeration(tags.numbers("Contrast"), { 0: "normal", 1: "soft", 2: "hard" });
}

/** Saturation. */
export function saturation(tags: TagSource): Field<Saturation> {
  return enumeration(tags.numbers("Saturation"), { 0: "normal", 1: "low", 2: "high" });
}

/** Sharpness. */
export function sharpness(tags: TagSource): Field<Sharpness> {
  return enumeration(tags.numbers("Sharpness"), { 0: "normal", 1: "soft", 2: "hard" });
}

/** SceneCaptureType. */
export function sceneType(tags: TagSource): Field<SceneType> {
  return enumeration(tags.numbers("SceneCaptureType"), {
    0: "standard",
    1: "landscape",
    2: "portrait",
    3: "night",
  });
}

/** CustomRendered; phones write 2 to 8 for their own merged and portrait pictures. */
export function customRendered(tags: TagSource): Field<CustomRendered> {
  return enumeration(tags.numbers("CustomRendered"), { 0: "normal", 1: "custom" }, "other");
}

/** CompositeImage. */
export function composite(tags: TagSource): Field<CompositeImage> {
  return enumeration(tags.numbers("CompositeImage"), {
    0: "unknown",
    1: "no",
    2: "general",
    3: "captured",
  });
}

/** SensitivityType. */
export function sensitivityType(tags: TagSource): Field<SensitivityType> {
  return enumeration(tags.numbers("SensitivityType"), {
    0: "unknown",
    1: "sos",
    2: "rei",
    3: "iso-speed",
    4: "sos-and-rei",
    5: "sos-and-iso-speed",
    6: "rei-and-iso-speed",
    7: "sos-and-rei-and-iso-speed",
  });
}

/** GainControl. */
export function gainControl(tags: TagSource): Field<GainControl> {
  return enumeration(tags.numbers("GainControl"), {
    0: "none",
    1: "low-gain-up",
    2: "high-gain-up",
    3: "low-gain-down",
    4: "high-gain-down",
  });
}

/** LightSource. */
export function lightSource(tags: TagSource): Field<LightSource> {
  return enumeration(
    tags.numbers("LightSource"),
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
}
