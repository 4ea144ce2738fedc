import exifr from "exifr";
import fc from "fast-check";
import { expect, test } from "vitest";
import { type FixtureTag, tiffFixture } from "../../test/tiffFixture.ts";
import { readExposure } from "../readExposure.ts";

/** Raw numbers and no translation, so that the two readers can be compared. */
const PLAIN = {
  translateKeys: false,
  translateValues: false,
  reviveValues: false,
  sanitize: false,
  mergeOutput: false,
};

test("readExposure(bytes) and an independent reader agree on well-formed blocks", async () => {
  const fraction = fc.tuple(fc.integer({ min: 1, max: 500 }), fc.integer({ min: 1, max: 100 }));
  const block = fc.record({
    littleEndian: fc.boolean(),
    fNumber: fraction,
    seconds: fraction,
    iso: fc.integer({ min: 1, max: 65534 }),
    bias: fc.tuple(fc.integer({ min: -15, max: 15 }), fc.integer({ min: 1, max: 6 })),
    orientation: fc.integer({ min: 1, max: 8 }),
    make: fc.stringMatching(/^[A-Za-z]{1,20}$/),
  });
  await fc.assert(
    fc.asyncProperty(block, async ({ littleEndian, fNumber, seconds, iso, bias, ...rest }) => {
      const exif: FixtureTag[] = [
        [0x829a, "RATIONAL", [seconds]],
        [0x829d, "RATIONAL", [fNumber]],
        [0x8827, "SHORT", [iso]],
        [0x9204, "SRATIONAL", [bias]],
      ];
      const ifd0: FixtureTag[] = [
        [0x10f, "ASCII", rest.make],
        [0x112, "SHORT", [rest.orientation]],
      ];
      const bytes = tiffFixture({ ifd0, exif, littleEndian });
      const other = await exifr.parse(bytes, PLAIN);
      const ours = await readExposure(bytes);
      const inLimits = other.exif[0x829d] >= 0.3 && other.exif[0x829d] <= 512;
      expect(ours.aperture.value).toBe(inLimits ? other.exif[0x829d] : null);
      expect(ours.shutter.value).toBe(other.exif[0x829a]);
      expect(ours.iso.value).toBe(other.exif[0x8827]);
      expect(ours.compensation.value).toBe(other.exif[0x9204]);
      expect(ours.orientation.value).toBe(other.ifd0[0x112]);
      expect(ours.make.value).toBe(other.ifd0[0x10f]);
    }),
  );
});
