import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { checkSet, type FrameResult, gradeFrame, type Precision } from "@tonefall/grader";
import sharp from "sharp";
import { beforeAll, describe, expect, test } from "vitest";
import { runHere } from "./runHere.ts";

const WIDTH = 2600;
const HEIGHT = 1540;

/** A picture of just over 4 megapixels, large enough to be sampled: a slow gradient with grain, burnt at one end and black at the other. */
let jpeg: Buffer;
let png: Buffer;
let rows: Record<Precision, FrameResult>;

beforeAll(async () => {
  let state = 7;
  const pixels = Buffer.from(
    Uint8Array.from({ length: 3 * WIDTH * HEIGHT }, (_, i) => {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      const across = (Math.floor(i / 3) % WIDTH) / WIDTH;
      return Math.max(0, Math.min(255, Math.round(320 * across - 20 + (state >>> 28))));
    }),
  );
  const picture = sharp(pixels, { raw: { width: WIDTH, height: HEIGHT, channels: 3 } });
  jpeg = await picture.clone().jpeg({ quality: 95 }).toBuffer();
  png = await picture.clone().png({ compressionLevel: 1 }).toBuffer();
  const grade = (precision: Precision) => gradeFrame(jpeg, { place: 0 }, { precision });
  rows = {
    exact: await grade("exact"),
    standard: await grade("standard"),
    quick: await grade("quick"),
  };
}, 60_000);

describe("precision", () => {
  test("exact samples nothing, and is what histograms and lookers get", async () => {
    expect(rows.exact.sampling).toBeNull();
    const { sampling, fall } = await gradeFrame(jpeg, {}, { precision: "quick", histograms: true });
    expect(sampling).toBeNull();
    expect(fall).toEqual(rows.exact.fall);
    const looked = await gradeFrame(jpeg, {}, { look: async () => {} });
    expect(looked.sampling).toBeNull();
  });

  test("standard is the default, counts the ends on every pixel, and keeps the error it states", async () => {
    const { exact, standard } = rows;
    expect((await gradeFrame(jpeg, { place: 0 })).sampling).toEqual(standard.sampling);
    expect(standard.sampling).toMatchObject({ precision: "standard", figures: ["fall"] });
    expect(standard.clipped).toEqual(exact.clipped);
    expect(standard.crushed).toEqual(exact.crushed);
    expect(standard.pixels).toBe(exact.pixels);
    keepsWithin(standard, exact);
    expect(standard.error?.uncertainty).toBeCloseTo(exact.error?.uncertainty ?? Number.NaN, 4);
  });

  test("standard counts every pixel of a region that is small", async () => {
    const brief = { region: "spot" };
    const spot = await gradeFrame(jpeg, brief);
    expect(spot.sampling).toBeNull();
    expect(spot.fall).toEqual((await gradeFrame(jpeg, brief, { precision: "exact" })).fall);
  });

  test("quick speaks of the whole picture, keeps the error it states, and is less certain", () => {
    const { exact, quick } = rows;
    expect(quick.sampling).toMatchObject({
      precision: "quick",
      figures: ["fall", "clipped", "crushed"],
      pixels: Math.floor(WIDTH / 3) * Math.floor(HEIGHT / 3),
    });
    expect(quick.picture).toEqual(exact.picture);
    expect(quick.pixels).toBe(exact.pixels);
    keepsWithin(quick, exact);
    const share = quick.sampling?.error.share ?? 0;
    expect(Math.abs((quick.clipped?.share ?? 1) - (exact.clipped?.share ?? 0))).toBeLessThan(share);
    expect(quick.error?.uncertaintyParts["sampling"]).toBeGreaterThan(0);
    expect(quick.error?.uncertainty).toBeGreaterThan(exact.error?.uncertainty ?? Number.NaN);
  });

  test("quick decodes other formats whole, and says so", async () => {
    const row = await gradeFrame(png, {}, { precision: "quick" });
    expect(row.notes.map(({ code }) => code)).toContain("quick-not-used");
    expect(row.sampling?.precision).toBe("standard");
  });

  test("a turned picture is sampled as one that lies", async () => {
    const turned = await sharp(jpeg)
      .jpeg({ quality: 95 })
      .withMetadata({ orientation: 6 })
      .toBuffer();
    const brief = { region: "box:0,0,1,0.5" };
    const [quick, exact] = [
      await gradeFrame(turned, brief, { precision: "quick" }),
      await gradeFrame(turned, brief, { precision: "exact" }),
    ];
    expect(quick.picture).toEqual({ ...exact.picture });
    expect([quick.picture?.width, quick.picture?.height]).toEqual([HEIGHT, WIDTH]);
    expect(quick.pixels).toBe(exact.pixels);
    keepsWithin(quick, exact);
  });

  test("a set is checked exactly: a picture made to deceive the lattice deceives nobody there", async () => {
    const folder = await mkdtemp(join(tmpdir(), "tonefall-precision-"));
    const pixels = new Uint8Array(3 * WIDTH * HEIGHT).fill(118);
    // Eleven is this width's step: every pixel of the lattice is white, and of the others none.
    for (let pixel = 0; pixel < WIDTH * HEIGHT; pixel += 11) {
      pixels.fill(250, 3 * pixel, 3 * pixel + 3);
    }
    const file = join(folder, "deceiving.png");
    await sharp(pixels, { raw: { width: WIDTH, height: HEIGHT, channels: 3 } })
      .png({ compressionLevel: 1 })
      .toFile(file);
    const [standard, exact] = [
      await gradeFrame(file),
      await gradeFrame(file, {}, { precision: "exact" }),
    ];
    expect(standard.fall?.stops).toBeGreaterThan((exact.fall?.stops ?? 9) + 1);
    const near = (exact.fall?.stops ?? Number.NaN).toFixed(2);
    const set = join(folder, "set.yaml");
    await writeFile(
      set,
      `set: Exact\nframes:\n  one:\n    file: deceiving.png\n    claims:\n      - falls: { place: ${near}, tolerance: 0.1 }\n`,
    );
    const { summary } = await checkSet(set);
    await rm(folder, { recursive: true });
    expect(summary).toMatchObject({ kept: 1, missed: 0 });
  });
});

describe("the command", () => {
  test("grade and meter take --exact and --quick; quick does not go with what has to be exact", async () => {
    const folder = await mkdtemp(join(tmpdir(), "tonefall-precision-"));
    const file = join(folder, "large.jpg");
    await writeFile(file, jpeg);
    const sampling = async (...args: string[]) => {
      const { code, stdout } = await runHere([...args, file, "-f", "json"]);
      expect(code).toBe(0);
      return JSON.parse(stdout).frames[0].sampling;
    };
    expect(await sampling("grade")).toEqual(rows.standard.sampling);
    expect(await sampling("grade", "--exact")).toBeNull();
    expect(await sampling("meter", "--quick")).toEqual(rows.quick.sampling);
    for (const other of ["--exact", "--report=page.html"]) {
      const { code, stderr } = await runHere(["grade", file, "--quick", other], {
        cwd: folder,
      });
      expect(code).toBe(2);
      expect(stderr).toContain("--quick");
    }
    await rm(folder, { recursive: true });
  });
});

function keepsWithin(sampled: FrameResult, exact: FrameResult): void {
  const error = sampled.sampling?.error;
  for (const [figure, most] of [
    ["stops", error?.mean],
    ["median", error?.median],
    ["p5", error?.percentiles],
    ["p95", error?.percentiles],
  ] as const) {
    const off = Math.abs((sampled.fall?.[figure] ?? Number.NaN) - (exact.fall?.[figure] ?? 0));
    expect(off, figure).toBeLessThanOrEqual(most ?? Number.NaN);
  }
}
