import fc from "fast-check";
import { expect, test } from "vitest";
import { iptcSegment, jpegFixture, xmpSegment } from "../../test/containerFixtures.ts";
import { keywordsXmp } from "../../test/marksFixture.ts";
import { xmpFixture } from "../../test/xmpFixture.ts";
import { readExposure } from "../readExposure.ts";

const keywordsOf = async (...segments: readonly Uint8Array[]) =>
  (await readExposure(jpegFixture(...segments))).keywords;
const iptc = (...keywords: readonly string[]) =>
  iptcSegment(...keywords.map((keyword) => Buffer.from(keyword)));

test("keywords of the older IPTC form are read from a JPEG, our own alone", async () => {
  expect(await keywordsOf(iptc("Ada", "tonefall:place=snow", "tonefall:tolerance=0.5"))).toEqual({
    value: ["tonefall:place=snow", "tonefall:tolerance=0.5"],
    from: "IPTC Keywords",
  });
  expect(await keywordsOf(iptc("Ada"))).toEqual({ value: null, reason: "absent" });
});

test("XMP comes before the older form", async () => {
  const xmp = xmpSegment(xmpFixture("", keywordsXmp("tonefall:place=tar")));
  const { value } = await keywordsOf(iptc("tonefall:place=snow"), xmp);
  expect(value).toEqual(["tonefall:place=tar"]);
});

test("a keyword as long as the form allows may have been cut off, and is refused", async () => {
  const cut = "tonefall:region=polygon:0.1 0.1 0.9 0.1 0.5 0.9 0.25 0.75 0.1253".slice(0, 64);
  expect(cut).toHaveLength(64);
  expect(await keywordsOf(iptc(cut))).toEqual({ value: null, reason: "malformed" });
  expect((await keywordsOf(iptc(cut.slice(0, 60)))).value).toEqual([cut.slice(0, 60)]);
});

test("records cut off or changed anywhere give keywords or none, never an error", async () => {
  const segment = iptc("tonefall:place=snow", "tonefall:region=spot");
  const change = fc.tuple(fc.nat(segment.length - 5), fc.integer({ min: 0, max: 255 }));
  let kept = 0;
  await fc.assert(
    fc.asyncProperty(fc.array(change, { minLength: 1, maxLength: 6 }), async (changes) => {
      const damaged = Uint8Array.from(segment);
      for (const [at, value] of changes) damaged[at + 4] = value;
      for (const keyword of (await keywordsOf(damaged)).value ?? []) {
        expect(keyword).toMatch(/^tonefall:/i);
        kept++;
      }
    }),
    { numRuns: 300, seed: 1 },
  );
  expect(kept).toBeGreaterThan(10);
});
