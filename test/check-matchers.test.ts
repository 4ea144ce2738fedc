import "@tonefall/grader/vitest";
import { gradeFrame, readFrame } from "@tonefall/grader";
import { describe, expect, test } from "vitest";
import { flat, METERED_EXIF } from "./pictures.ts";

// Codes 60 and 118 are -2 and 0 stops by the sRGB curve [SRGB], rounded.
describe("toFallWithin", () => {
  test("holds where the tone falls at the placement, and not elsewhere", async () => {
    const row = await gradeFrame(await flat(60).png().toBuffer());
    expect(row).toFallWithin(-2);
    expect(row).toFallWithin("tar");
    expect(row).not.toFallWithin(0);
    expect(row).toFallWithin(-1.2, 1);
    expect(() => expect(row).toFallWithin("snow")).toThrow(
      /to fall at \+1\.5 to \+2\.3.*fell at -1\.99/,
    );
  });

  test("what is too near to tell neither holds nor passes for the opposite without a word", async () => {
    const row = await gradeFrame(await flat(118).png().toBuffer());
    expect(() => expect(row).toFallWithin(0.34)).toThrow("does not settle");
  });

  test("a file that is no picture does not hold", async () => {
    const row = await gradeFrame(Buffer.from("words, words, words"));
    expect(() => expect(row).toFallWithin(0)).toThrow("(bytes)");
  });
});

describe("toBeExposedAs", () => {
  test("compares settings with the metadata", async () => {
    const read = await readFrame(await flat(118).withExif(METERED_EXIF).jpeg().toBuffer());
    expect(read).toBeExposedAs({ mode: "aperture-priority", pattern: "spot", iso: 400 });
    expect(read).toBeExposedAs({ aperture: 5.6, shutter: 1 / 125, flash: false });
    expect(read).not.toBeExposedAs({ iso: 100 });
    expect(() => expect(read).toBeExposedAs({ iso: 100 })).toThrow(
      "records iso 400 where 100 is claimed",
    );
  });

  test("a setting that is not recorded does not hold", async () => {
    const read = await readFrame(await flat(118).png().toBuffer());
    expect(() => expect(read).toBeExposedAs({ iso: 100 })).toThrow("does not record its iso");
  });
});
