import { describe, expect, test } from "vitest";
import { recordedTags } from "../../test/recordedTags.ts";
import type { Field } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import type { NumberTag } from "../tag/tags.ts";
import {
  colourSpace,
  composite,
  contrast,
  customRendered,
  gainControl,
  lightSource,
  meteringPattern,
  mode,
  programme,
  saturation,
  sceneType,
  sensitivityType,
  sharpness,
} from "./codes.ts";
import { flashFired } from "./flashFired.ts";

/** Codes and meanings as the standard lists them [EXIF], in our words. */
const PUBLISHED: readonly [
  NumberTag,
  (tags: TagSource) => Field<string>,
  Record<number, string>,
][] = [
  [
    "MeteringMode",
    meteringPattern,
    {
      0: "unknown",
      1: "average",
      2: "centre-weighted",
      3: "spot",
      4: "multi-spot",
      5: "multi-segment",
      6: "partial",
      255: "other",
    },
  ],
  [
    "ExposureProgram",
    programme,
    {
      0: "not-defined",
      1: "manual",
      2: "programme",
      3: "aperture-priority",
      4: "shutter-priority",
      5: "creative",
      6: "action",
      7: "portrait",
      8: "landscape",
    },
  ],
  ["ExposureMode", mode, { 0: "auto", 1: "manual", 2: "auto-bracket" }],
  ["ColorSpace", colourSpace, { 1: "srgb", 65535: "uncalibrated" }],
  ["Contrast", contrast, { 0: "normal", 1: "soft", 2: "hard" }],
  ["Saturation", saturation, { 0: "normal", 1: "low", 2: "high" }],
  ["Sharpness", sharpness, { 0: "normal", 1: "soft", 2: "hard" }],
  ["SceneCaptureType", sceneType, { 0: "standard", 1: "landscape", 2: "portrait", 3: "night" }],
  ["CustomRendered", customRendered, { 0: "normal", 1: "custom" }],
  ["CompositeImage", composite, { 0: "unknown", 1: "no", 2: "general", 3: "captured" }],
  [
    "SensitivityType",
    sensitivityType,
    {
      0: "unknown",
      1: "sos",
      2: "rei",
      3: "iso-speed",
      4: "sos-and-rei",
      5: "sos-and-iso-speed",
      6: "rei-and-iso-speed",
      7: "sos-and-rei-and-iso-speed",
    },
  ],
  [
    "GainControl",
    gainControl,
    {
      0: "none",
      1: "low-gain-up",
      2: "high-gain-up",
      3: "low-gain-down",
      4: "high-gain-down",
    },
  ],
  [
    "LightSource",
    lightSource,
    {
      0: "unknown",
      1: "daylight",
      3: "tungsten",
      4: "flash",
      9: "fine-weather",
      10: "cloudy",
      11: "shade",
      17: "standard-a",
      20: "d55",
      21: "d65",
      22: "d75",
      23: "d50",
      24: "studio-tungsten",
      255: "other",
    },
  ],
];

describe.each(PUBLISHED)("%s", (tag, rule, meanings) => {
  test.each(Object.entries(meanings))("%s is %s", (code, meaning) => {
    expect(rule(recordedTags({ [tag]: code }))).toEqual({ value: meaning, from: `Exif ${tag}` });
  });

  test("is absent where the tag is", () => {
    expect(rule(recordedTags({}))).toEqual({ value: null, reason: "absent" });
  });

  test("refuses a fraction", () => {
    expect(rule(recordedTags({ [tag]: "1/2" }))).toMatchObject({ reason: "wrong-type" });
  });
});

test.each([
  ["MeteringMode", meteringPattern],
  ["ColorSpace", colourSpace],
  ["CustomRendered", customRendered],
  ["LightSource", lightSource],
] as const)("%s 7001 is other, with the code kept", (tag, rule) => {
  expect(rule(recordedTags({ [tag]: "7001" }))).toEqual({
    value: "other",
    from: `Exif ${tag}`,
    found: "7001",
  });
});

test.each([
  ["ExposureProgram", programme],
  ["ExposureMode", mode],
  ["Contrast", contrast],
  ["Saturation", saturation],
  ["Sharpness", sharpness],
  ["SceneCaptureType", sceneType],
  ["CompositeImage", composite],
  ["SensitivityType", sensitivityType],
  ["GainControl", gainControl],
] as const)("%s 7001 has no published meaning", (tag, rule) => {
  expect(rule(recordedTags({ [tag]: "7001" }))).toEqual({
    value: null,
    reason: "not-defined",
    found: "7001",
  });
});

test("codes that cameras write outside the standard keep their known meaning", () => {
  expect(programme(recordedTags({ ExposureProgram: "9" })).value).toBe("bulb");
  expect(colourSpace(recordedTags({ ColorSpace: "2" })).value).toBe("adobe-rgb");
});

// Bit 0 tells whether it fired; the values are those the standard lists [EXIF, Flash].
test.each([
  [0x00, false],
  [0x01, true],
  [0x05, true],
  [0x08, false],
  [0x10, false],
  [0x18, false],
  [0x19, true],
  [0x1f, true],
  [0x20, false],
  [0x41, true],
  [0x50, false],
  [0x59, true],
])("flashFired(tags) reads Flash %i as %s", (code, fired) => {
  expect(flashFired(recordedTags({ Flash: `${code}` })).value).toBe(fired);
});
