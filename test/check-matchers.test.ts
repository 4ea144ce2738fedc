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

  test("what is too near to tell neither holds nor passes for the opposite", async () => {
    const row = await gradeFrame(await flat(118).png().toBuffer());
    expect(() => expect(row).toFallWithin(0.34)).toThrow("too close to the limit");
    expect(() => expect(row).not.toFallWithin(0.34)).toThrow("not to fall at +0.34");
  });

  test("its opposite fails where the tone falls there", async () => {
    const row = await gradeFrame(await flat(60).png().toBuffer());
    expect(() => expect(row).not.toFallWithin("tar")).toThrow(/not to fall at .* fell at -1\.99/);
  });

  test.each([
    ["a missing file", () => gradeFrame("no such file.jpg"), "no such file"],
    ["a file that is no picture", () => gradeFrame(Buffer.from("words, words")), "(bytes)"],
    ["what is no row", () => ({}), "not measured"],
    ["nothing", () => undefined, "not measured"],
  ])("%s fails, negated or not", async (_, graded, says) => {
    const row = await graded();
    expect(() => expect(row).toFallWithin("tar")).toThrow(says);
    expect(() => expect(row).not.toFallWithin("tar")).toThrow(says);
    expect(() => expect(row).toBeExposedAs({ iso: 100 })).toThrow(
      /no such file|\(bytes\)|not read/,
    );
    expect(() => expect(row).not.toBeExposedAs({ iso: 100 })).toThrow(
      /no such file|\(bytes\)|not read/,
    );
  });

  test("a slip in the placement or the tolerance fails, negated or not", async () => {
    const row = await gradeFrame(await flat(60).png().toBuffer());
    expect(() => expect(row).not.toFallWithin("tarr")).toThrow('did you mean "tar"');
    expect(() => expect(row).not.toFallWithin("snow", "wide")).toThrow("Expected a tolerance");
  });
});

describe("toBeExposedAs", () => {
  test("compares settings with the metadata", async () => {
    const read = await readFrame(await flat(118).withExif(METERED_EXIF).jpeg().toBuffer());
    expect(read).toBeExposedAs({ mode: "aperture-priority", pattern: "spot", iso: 400 });
    expect(read).toBeExposedAs({ aperture: 5.6, shutter: 1 / 125, flash: false });
    expect(read).not.toBeExposedAs({ iso: 100 });
    expect(() => expect(read).toBeExposedAs({ iso: 100 })).toThrow(
      "records ISO 400, but the claim is 100",
    );
  });

  test("reads settings as a set file has them, and its opposite fails where they hold", async () => {
    const read = await readFrame(await flat(118).withExif(METERED_EXIF).jpeg().toBuffer());
    expect(read).toBeExposedAs({ shutter: "1/125", compensation: "-2/3" });
    expect(read).not.toBeExposedAs({ shutter: "1/250" });
    expect(() => expect(read).not.toBeExposedAs({ shutter: "1/125" })).toThrow(
      "records the settings that are claimed",
    );
  });

  test("a setting that is not recorded neither holds nor passes for the opposite", async () => {
    const read = await readFrame(await flat(118).png().toBuffer());
    expect(() => expect(read).toBeExposedAs({ iso: 100 })).toThrow("does not record its ISO");
    expect(() => expect(read).not.toBeExposedAs({ iso: 100 })).toThrow("does not record its ISO");
  });

  test("unknown keys and values are refused with those that are known, negated or not", async () => {
    const read = await readFrame(await flat(118).withExif(METERED_EXIF).jpeg().toBuffer());
    const slips: readonly [object, string][] = [
      [{ isoo: 400 }, 'but received "isoo"; did you mean "iso"?'],
      [{ iso: 400, velvet: 1 }, "(mode, pattern, aperture, shutter, iso, compensation, flash)"],
      [{ mode: "aperture" }, "a wrong value for mode"],
      [{ iso: "400" }, "a wrong value for iso"],
      [{}, "but received none"],
    ];
    for (const [slip, says] of slips) {
      expect(() => expect(read).toBeExposedAs(slip as object)).toThrow(says);
      expect(() => expect(read).not.toBeExposedAs(slip as object)).toThrow(says);
    }
  });
});
