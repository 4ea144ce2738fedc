import { gradeFrame } from "@tonefall/grader";
import sharp from "sharp";
import { describe, expect, test } from "vitest";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import { flat } from "./pictures.ts";

/*
 * Decodes of one process share their decoder's text of errors. A row must not depend on what else is decoded while it is.
 */

const ROUNDS = 12;

/** The failure and the notes of a row, by source. */
async function outcome(source: string | Uint8Array): Promise<unknown> {
  const { failure, notes, fall } = await gradeFrame(source, {});
  return { failure: failure?.code ?? null, notes: notes.map(({ code }) => code), fall };
}

async function expectSameBesideOthers(sources: readonly (string | Uint8Array)[]): Promise<void> {
  const alone: unknown[] = [];
  for (const source of sources) alone.push(await outcome(source));
  const many = Array.from({ length: ROUNDS }, () => sources).flat();
  const beside = await Promise.all(many.map(outcome));
  expect(beside).toEqual(Array.from({ length: ROUNDS }, () => alone).flat());
}

/** A gradient, so that its scan has bytes to lose in every block. */
async function wedge(): Promise<Buffer> {
  const [width, height] = [256, 256];
  const pixels = Uint8Array.from({ length: width * height }, (_, i) => ((i % width) + 3 * i) & 255);
  return sharp(pixels, { raw: { width, height, channels: 1 } })
    .jpeg()
    .toBuffer();
}

describe("a damaged picture beside others", () => {
  test("made files: cut, cut and closed, with bytes overwritten, and whole", async () => {
    const whole = await wedge();
    const half = whole.subarray(0, whole.length >> 1);
    const overwritten = Buffer.from(whole).fill(0x55, whole.length >> 1, (whole.length >> 1) + 40);
    const png = await flat(118, 300, 300).png().toBuffer();
    await expectSameBesideOthers([
      half,
      Buffer.concat([half, Buffer.of(0xff, 0xd9)]),
      overwritten,
      png.subarray(0, png.length >> 1),
      whole,
    ]);
  });

  test.skipIf(!hasCorpus)(`real files ${skippedBecause}`, async () => {
    await expectSameBesideOthers(
      [
        "malformed/serenity/oss-fuzz-testcase-63815.jpg",
        "malformed/pillow/crash-2020-10-test.tif",
      ].map(corpusFile),
    );
  });
});
