import { execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gradeFrame } from "@tonefall/grader";
import sharp from "sharp";
import { describe, expect, test } from "vitest";
import { decodeHeic } from "../packages/grader/src/picture/heic/decodeHeic.ts";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import {
  encodedHeic,
  HEIC_KINDS,
  type HeicKind,
  heicFixture,
  keptHeic,
  STEP_CODES,
  stepRegion,
  WEDGE,
} from "./encodedPictures.ts";
import { heifConvert, heifEnc } from "./outside.mjs";
import { linear } from "./srgb.ts";

/*
 * Phones' HEIC photographs against another build of libheif (Debian package libheif-examples: heif-convert, to PNG). Its
 * answers are recorded in reference/heic-libheif.json; RECORD_HEIC_LIBHEIF=1 writes them anew.
 */

const RECORD = new URL("./reference/heic-libheif.json", import.meta.url);

interface Answer {
  readonly width: number;
  readonly height: number;
  /** Mean code of red, green and blue, as shares of full scale. */
  readonly means: readonly number[];
}

const FILES = [
  "metadata/camel.heic",
  "metadata/iphone_7.heic",
  "orientation/issue_9292_sony_6_right_top.HIF",
];

const recorded: { libheif: string; answers: Readonly<Record<string, Answer>> } = JSON.parse(
  readFileSync(RECORD, "utf8"),
);

/** Builds of libheif fill in chroma at edges in their own ways: a quarter of an 8-bit code in the mean. */
const MEAN_TOLERANCE = 0.25 / 255;

/** An encoder at quality 90 moves the code of a flat grey by one at most; half a code more for how it is rounded. */
const ENCODER_CODES = 1.5;

describe.skipIf(!hasCorpus)(`decodeHeic(real photographs)${skippedBecause}`, () => {
  test.each(FILES)("%s: size and means", async (name) => {
    const { width, height, channels, samples } = await decodeHeic(corpusFile(name));
    const answer = recorded.answers[name] as Answer;
    expect([width, height, channels]).toEqual([answer.width, answer.height, 3]);
    const means = meansOf(samples, 3);
    for (const [i, mean] of means.entries()) {
      expect(Math.abs(mean - (answer.means[i] as number))).toBeLessThan(MEAN_TOLERANCE);
    }
  });

  test("an embedded profile is handed on; code points are, where there is none", async () => {
    const phone = await decodeHeic(corpusFile("metadata/iphone_7.heic"));
    expect(new TextDecoder().decode(phone.icc?.subarray(36, 40))).toBe("acsp");
    expect(phone.bits).toBe(8);
    const camera = await decodeHeic(corpusFile("orientation/issue_9292_sony_6_right_top.HIF"));
    expect(camera.icc).toBeNull();
    expect(camera.nclx).toEqual({ primaries: 1, transfer: 13, matrix: 6, fullRange: true });
    expect([camera.bits, camera.samples.BYTES_PER_ELEMENT]).toEqual([10, 2]);
  });

  test("damaged files end in a code, and the next one is decoded", async () => {
    const damaged = readdirSync(corpusFile("malformed/heif")).map(
      (name) => `malformed/heif/${name}`,
    );
    for (const name of [...damaged, "malformed/oom_large_box.heic"]) {
      await expect(decodeHeic(corpusFile(name)), name).rejects.toMatchObject({
        code: expect.stringMatching(/^(unsupported-format|truncated|decode-failed)$/),
      });
    }
    const bytes = readFileSync(corpusFile("metadata/camel.heic"));
    await expect(decodeHeic(bytes.subarray(0, 50_000))).rejects.toMatchObject({
      code: "truncated",
    });
    expect((await decodeHeic(bytes)).width).toBe(1596);
  });

  if (heifConvert.path && process.env["RECORD_HEIC_LIBHEIF"] === "1") {
    test("records anew", async () => {
      const folder = mkdtempSync(join(tmpdir(), "tonefall-heic-"));
      const answers: Record<string, Answer> = {};
      for (const name of FILES) {
        const picture = join(folder, "picture.png");
        execFileSync("heif-convert", [corpusFile(name), picture], { stdio: "ignore" });
        const { data, info } = await sharp(picture, { ignoreIcc: true })
          .removeAlpha()
          .toColourspace("rgb16")
          .raw({ depth: "ushort" })
          .toBuffer({ resolveWithObject: true });
        const samples = new Uint16Array(data.buffer, data.byteOffset, data.length / 2);
        answers[name] = { width: info.width, height: info.height, means: meansOf(samples, 3) };
      }
      rmSync(folder, { recursive: true });
      const listed = execFileSync("dpkg-query", ["-W", "libheif1"], { encoding: "utf8" });
      const record = { libheif: listed.trim().split("\t")[1] ?? "unknown", answers };
      writeFileSync(RECORD, `${JSON.stringify(record, null, 2)}\n`);
    });
  }
});

/*
 * A step wedge of known codes in HEIC. Kept in reference/heic, where heif-enc of libheif wrote it from the picture that
 * encodedPictures.ts makes (Debian package libheif-examples 1.15.1, encoder x265 3.5; RECORD_HEIC=1 writes it anew), since no
 * package of Node encodes HEVC; where heif-enc is installed it is encoded again.
 */
describe.each(Object.keys(HEIC_KINDS) as HeicKind[])("a step wedge in HEIC, %s", (kind) => {
  const { bits } = HEIC_KINDS[kind];

  async function expectSteps(bytes: Uint8Array): Promise<void> {
    const { width, height, channels, samples, ...picture } = await decodeHeic(bytes);
    expect([width, height, channels, picture.bits]).toEqual([WEDGE.width, WEDGE.height, 3, bits]);
    const full = samples.BYTES_PER_ELEMENT === 2 ? 65535 : 255;
    for (const [step, code] of STEP_CODES.entries()) {
      const middle = Math.round(((step + 0.5) * width) / STEP_CODES.length);
      const at = 3 * (Math.round(height / 2) * width + middle);
      for (const sample of samples.subarray(at, at + 3)) {
        const difference = Math.abs((255 * sample) / full - code);
        expect(difference).toBeLessThanOrEqual(kind === "rgb-lossless" ? 0 : ENCODER_CODES);
      }
    }
  }

  test("decodeHeic gives the codes that were encoded", () => expectSteps(keptHeic(kind)));

  test.skipIf(!heifEnc.path)(`and those of one encoded now${heifEnc.skipped}`, async () => {
    await expectSteps(await encodedHeic(kind));
  });

  test("gradeFrame has every step fall by its code", async () => {
    for (const [step, code] of STEP_CODES.entries()) {
      const { fall, format } = await gradeFrame(keptHeic(kind), { region: stepRegion(step) });
      expect(format).toBe("heic");
      const [low, high] = [code - ENCODER_CODES, code + ENCODER_CODES].map((at) =>
        Math.log2(linear(at) / 0.18),
      );
      expect(fall?.stops).toBeGreaterThanOrEqual(low as number);
      expect(fall?.stops).toBeLessThanOrEqual(high as number);
    }
  });

  if (heifEnc.path && process.env["RECORD_HEIC"] === "1")
    test("records anew", async () => {
      writeFileSync(heicFixture(kind), await encodedHeic(kind));
    });
});

test("a HEIC's own profile and Exif are used", async () => {
  const { picture, exposure } = await gradeFrame(keptHeic("exif-and-profile"));
  expect(picture).toMatchObject({ colourFrom: "icc", bits: 8 });
  // As METERED_EXIF has it.
  expect(exposure).toMatchObject({ aperture: { value: 5.6 }, iso: { value: 400 } });
});

test("a HEIC cut short ends in a code, and the next one is decoded", async () => {
  const bytes = keptHeic("420");
  await expect(decodeHeic(bytes.subarray(0, bytes.length - 200))).rejects.toMatchObject({
    code: "truncated",
  });
  expect((await decodeHeic(bytes)).width).toBe(WEDGE.width);
});

test("decodeHeic(bytes that are no HEIF) is refused", async () => {
  await expect(decodeHeic(new Uint8Array(100))).rejects.toMatchObject({
    code: expect.stringMatching(/^(unsupported-format|decode-failed)$/),
  });
});

function meansOf(samples: Uint8Array | Uint16Array, channels: number): number[] {
  const full = samples.BYTES_PER_ELEMENT === 2 ? 65535 : 255;
  return Array.from({ length: channels }, (_, channel) => {
    let sum = 0;
    for (let at = channel; at < samples.length; at += channels) sum += samples[at] as number;
    return sum / (samples.length / channels) / full;
  });
}
