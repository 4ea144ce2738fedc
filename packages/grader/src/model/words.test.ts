import { expect, test } from "vitest";
import type { Exposure } from "./result.ts";
import { settingsText } from "./words.ts";

test.each([
  [8, 1 / 125, 100, "f/8 1/125 ISO 100"],
  [null, 1 / 60, null, "1/60"],
  [8, null, 100, "f/8 ISO 100"],
  [null, null, null, "no settings in the file"],
])(
  "of settings, those that the file records are shown: %s %s %s",
  (aperture, shutter, iso, text) => {
    const given = (value: number | null) => ({ value });
    const exposure = { aperture: given(aperture), shutter: given(shutter), iso: given(iso) };
    expect(settingsText(exposure as unknown as Exposure)).toBe(text);
  },
);
