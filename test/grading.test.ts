import { openAsBlob } from "node:fs";
import { rm, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { pathToFileURL } from "node:url";
import {
  type FrameResult,
  GraderError,
  gradeFrame,
  gradeFrames,
  readFrame,
  summarise,
} from "@tonefall/grader";
import fc from "fast-check";
import sharp, { type Exif } from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { flat, METERED_EXIF, newFolder, picture } from "./pictures.ts";
import { linear } from "./srgb.ts";

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
});
afterAll(() => rm(folder, { recursive: true }));

function codes(result: FrameResult): string[] {
  return result.notes.map(({ code }) => code);
}

/** Grey of one code, as PNG bytes: lossless, so the fall is known. */
function grey(code: number): Promise<Buffer> {
  return flat(code).png().toBuffer();
}

describe("gradeFrame, rendered", () => {
  // Codes one stop apart by the sRGB curve [SRGB]: 60, 85, 118, 162, 221 are -2, -1, 0, +1, +2 stops, rounded.
  test.each([
    { code: 118, place: 0, verdict: "within" },
    { code: 60, place: -2, verdict: "within" },
    { code: 221, place: "snow", verdict: "within" },
    { code: 118, place: "snow", verdict: "under" },
    { code: 118, place: "tar", verdict: "over" },
    { code: 162, place: "VI", verdict: "within" },
    { code: 162, place: "36%", verdict: "within" },
    { code: 118, place: "+1 2/3", verdict: "under" },
  ])("code $code placed at $place is $verdict", async ({ code, place, verdict }) => {
    const result = await gradeFrame(await grey(code), { place });
    expect(result.verdict).toBe(verdict);
    expect(result.basis).toBe("rendered");
    expect(result.tolerance).toBeCloseTo(1 / 3, 12);
  });

  test("the error is fall minus placement, and 0 inside a range", async () => {
    const over = await gradeFrame(await grey(162), { place: -1 });
    expect(over.error?.stops).toBeCloseTo(2, 1);
    const inside = await gradeFrame(await grey(162), { place: "0.5..1.5" });
    expect(inside.error?.stops).toBe(0);
    const under = await gradeFrame(await grey(118), { place: "1.5..2.3" });
    expect(under.error?.stops).toBeCloseTo((under.fall?.stops ?? 0) - 1.5, 12);
  });

  test("without a placement it measures and gives no verdict", async () => {
    const { fall, verdict, error, placement } = await gradeFrame(await grey(118));
    expect(fall?.stops).toBeCloseTo(0.0093, 3);
    expect([verdict, error, placement]).toEqual([null, null, null]);
  });

  test("uncertainty follows the size of a code into the shadows", async () => {
    // One code is 0.026 stop at 118, and 0.14 at code 10 [SRGB, arithmetic].
    const mid = await gradeFrame(await grey(118), { place: 0 });
    const dark = await gradeFrame(await grey(10), { place: -6 });
    expect(mid.error?.uncertainty).toBe(0.05);
    expect(dark.error?.uncertainty).toBeCloseTo(0.141, 2);
  });

  test("a miss at the limit of what can be told is undecided", async () => {
    const result = await gradeFrame(await grey(118), { place: 0.33, tolerance: "1/3" });
    expect(result.verdict).toBe("undecided");
  });

  test("a clipped region has a bound, not an error of its own", async () => {
    const highlights = await picture(100, 100, (x) => (x < 30 ? [255, 255, 255] : [221, 221, 221]))
      .png()
      .toBuffer();
    const result = await gradeFrame(highlights, { place: 2 });
    expect(result.fall?.bound).toBe("at least");
    expect(result.error?.bound).toBe("at least");
    expect(result.clipped?.share).toBeCloseTo(0.3, 12);
    expect(codes(result)).toEqual(expect.arrayContaining(["clipped", "judged-by-median"]));
    expect(result.verdict).toBe("within");
  });

  test("a region clipped by more than half cannot be held to lie anywhere but above", async () => {
    const blown = await picture(100, 100, (x) => (x < 60 ? [255, 255, 255] : [200, 200, 200]))
      .png()
      .toBuffer();
    expect((await gradeFrame(blown, { place: 2 })).verdict).toBe("undecided");
    expect((await gradeFrame(blown, { place: 0 })).verdict).toBe("over");
    // A bound from below can never show that a tone is too dark.
    expect((await gradeFrame(blown, { place: 4 })).verdict).toBe("undecided");
  });

  test("1 % clipped is still a measurement", async () => {
    const speck = await picture(100, 100, (_x, y) => (y === 0 ? [255, 255, 255] : [118, 118, 118]))
      .png()
      .toBuffer();
    expect((await gradeFrame(speck)).fall?.bound).toBeNull();
  });

  test("a black region is at most so dark", async () => {
    const result = await gradeFrame(await grey(0), { place: -2 });
    expect(result.fall?.bound).toBe("at most");
    expect(result.fall?.stops).toBeLessThan(-9);
    expect(Number.isFinite(result.fall?.stops)).toBe(true);
    expect(result.verdict).toBe("under");
  });

  test("a region of two tones says so", async () => {
    const halves = await picture(40, 40, (x) => (x < 22 ? [20, 20, 20] : [230, 230, 230]))
      .png()
      .toBuffer();
    expect(codes(await gradeFrame(halves))).toContain("mixed");
    expect(codes(await gradeFrame(await grey(118)))).not.toContain("mixed");
  });

  test("a placement above white says that no tone can fall there", async () => {
    const result = await gradeFrame(await grey(200), { place: "VIII" });
    expect(codes(result)).toContain("placement-above-white");
  });

  test("histograms come when asked for, over the region alone", async () => {
    const halves = await picture(40, 40, (x) => (x < 20 ? [60, 60, 60] : [200, 200, 200]))
      .png()
      .toBuffer();
    const brief = { region: "box:0,0,0.5,1" };
    expect((await gradeFrame(halves, brief)).histograms).toBeUndefined();
    const { histograms } = await gradeFrame(halves, brief, { histograms: true });
    expect(histograms?.channels.map(({ name }) => name)).toEqual(["red", "green", "blue"]);
    expect(histograms?.channels[0]?.counts[60]).toBe(800);
    expect(histograms?.encoded?.counts[60]).toBe(800);
    expect(histograms?.encoded?.counts[200]).toBe(0);
  });
});

/** A rectangle of 16 x 16 pixels about (50, 10), as [XMP] writes Exif's SubjectArea. */
const SUBJECT_AREA_XMP = `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:exif="http://ns.adobe.com/exif/1.0/"><exif:SubjectArea><rdf:Seq>
<rdf:li>50</rdf:li><rdf:li>10</rdf:li><rdf:li>16</rdf:li><rdf:li>16</rdf:li>
</rdf:Seq></exif:SubjectArea></rdf:Description></rdf:RDF></x:xmpmeta>`;

describe("orientation", () => {
  test("a region is the same part of the upright picture, however the pixels are stored", async () => {
    const [W, H] = [60, 40];
    // [EXIF] Orientation: the upright pixel that a stored column and row hold.
    const uprightOf: Record<number, (column: number, row: number) => [number, number]> = {
      1: (column, row) => [column, row],
      2: (column, row) => [W - 1 - column, row],
      3: (column, row) => [W - 1 - column, H - 1 - row],
      4: (column, row) => [column, H - 1 - row],
      5: (column, row) => [row, column],
      6: (column, row) => [W - 1 - row, column],
      7: (column, row) => [W - 1 - row, H - 1 - column],
      8: (column, row) => [row, H - 1 - column],
    };
    const falls: number[] = [];
    for (const [key, upright] of Object.entries(uprightOf)) {
      const orientation = Number(key);
      const [width, height] = orientation >= 5 ? [H, W] : [W, H];
      const bytes = await picture(width, height, (column, row) => {
        const [x, y] = upright(column, row);
        return [4 * x, 6 * y, 100];
      })
        .withMetadata({ orientation })
        .png()
        .toBuffer();
      const result = await gradeFrame(bytes, { region: "box:0.05,0.1,0.3,0.2" });
      expect([result.picture?.width, result.picture?.height], `orientation ${orientation}`).toEqual(
        [60, 40],
      );
      falls.push(result.fall?.stops ?? Number.NaN);
    }
    expect(falls).toHaveLength(8);
    for (const fall of falls) expect(fall).toBe(falls[0]);
    // The box holds the upright columns 3 to 20 and rows 4 to 11.
    const mean = (codes: number[]): number =>
      codes.reduce((sum, code) => sum + linear(code), 0) / codes.length;
    const red = mean(Array.from({ length: 18 }, (_, i) => 4 * (3 + i)));
    const green = mean(Array.from({ length: 8 }, (_, i) => 6 * (4 + i)));
    const luminance = 0.2126 * red + 0.7152 * green + 0.0722 * linear(100);
    expect(falls[0]).toBeCloseTo(Math.log2(luminance / 0.18), 3);
  });

  test("the file's own subject area is read in stored pixels", async () => {
    const pixels = await picture(60, 40, (x, y) =>
      x >= 40 && y < 20 ? [221, 221, 221] : [60, 60, 60],
    )
      .withXmp(SUBJECT_AREA_XMP)
      .png()
      .toBuffer();
    const result = await gradeFrame(pixels, { region: "subject-area" });
    expect(result.fall?.stops).toBeCloseTo(2, 1);
    expect(result.region).toMatch(/^box:0\.7/);
  });

  test("asked for a subject area that is not there, the row fails and says what to do", async () => {
    const { failure, exposure } = await gradeFrame(await grey(118), { region: "subject-area" });
    expect(failure?.code).toBe("no-subject-area");
    expect(exposure).not.toBeNull();
  });
});

describe("gradeFrame, other bases", () => {
  const withExif = (code: number, exif: Exif): Promise<Buffer> =>
    flat(code).withExif(exif).jpeg({ quality: 100 }).toBuffer();

  test("a scene claim on an unknown JPEG is less than what it shows, and ever less certain", async () => {
    const grade = async (code: number) =>
      gradeFrame(await grey(code), { basis: "scene", place: 0 });
    const [dark, shade, middle] = await Promise.all([27, 60, 118].map(grade));
    // The codes lie 4 and 2 stops below middle grey in the picture.
    expect(dark?.fall?.stops).toBeCloseTo(-4 / 1.35, 1);
    expect(shade?.fall?.stops).toBeCloseTo(-2 / 1.4, 1);
    expect(middle?.fall?.stops).toBeCloseTo(0, 1);
    const uncertainties = [middle, shade, dark].map((row) => row?.error?.uncertainty ?? Number.NaN);
    expect(uncertainties).toEqual(uncertainties.toSorted((a, b) => a - b));
    expect(uncertainties[0]).toBeLessThan(0.25);
    expect(uncertainties[2]).toBeGreaterThan(0.4);
    expect(middle?.tolerance).toBe(1);
    expect(codes(middle as FrameResult)).toContain("scene-from-rendering");
    expect(codes(middle as FrameResult)).not.toContain("scene-light-is-bound");
  });

  test.each([
    [2, "undecided"],
    [0.25, "over"],
  ])(
    "a light tone is a bound of light: placed at %s it is %s, and never within",
    async (place, verdict) => {
      // Code 221 shows 2 stops above middle grey, on the shoulder of any camera's curve.
      const scene = await gradeFrame(await grey(221), { basis: "scene", place });
      expect(scene.fall?.bound).toBe("at least");
      expect(scene.error?.bound).toBe("at least");
      expect(scene.verdict).toBe(verdict);
      expect(codes(scene)).toContain("scene-light-is-bound");
      expect((await gradeFrame(await grey(221), { place: 2 })).fall?.bound).toBeNull();
    },
  );

  test("a composite gets no scene claim at all", async () => {
    const merged = await withExif(221, { IFD2: { ...METERED_EXIF.IFD2, CustomRendered: "3" } });
    const result = await gradeFrame(merged, { basis: "scene", place: 2 });
    expect([result.verdict, result.error, result.fall]).toEqual(["undecided", null, null]);
    expect((await gradeFrame(merged, { place: 2 })).verdict).toBe("within");
  });

  test("on settings alone, an automatic camera placed what it metered at its compensation", async () => {
    const result = await gradeFrame(await withExif(118, METERED_EXIF), {
      basis: "settings",
      place: -2,
    });
    expect(result.basis).toBe("settings");
    expect(result.fall?.stops).toBeCloseTo(-2 / 3, 12);
    expect(result.picture).toBeNull();
    expect(codes(result)).toContain("settings-by-compensation");
  });

  test.each([
    ["manual exposure", { ExposureProgram: "1", ExposureMode: "1" }, "manual-without-reading"],
    ["flash", { Flash: "1" }, "flash-fired"],
  ])("on settings alone, %s says nothing of the tone", async (_what, tags, code) => {
    const exif = { IFD2: { ...METERED_EXIF.IFD2, ...tags } };
    const result = await gradeFrame(await withExif(118, exif), { basis: "settings", place: 0 });
    expect([result.verdict, result.fall, result.error]).toEqual(["undecided", null, null]);
    expect(codes(result)).toContain(code);
  });

  test("marked settings stand for exact ones, and the recorded value stays", async () => {
    const { exposure, givenExposure } = await gradeFrame(await withExif(118, METERED_EXIF));
    expect(exposure?.aperture).toMatchObject({ value: 5.6, exact: Math.sqrt(32) });
    expect(exposure?.shutter).toMatchObject({ value: 1 / 125, exact: 1 / 128 });
    expect(exposure?.compensation.value).toBeCloseTo(-2 / 3, 3);
    expect(givenExposure).toBeCloseTo(-5 - 7 + 2, 12);
  });
});

describe("gradeFrames", () => {
  test("keeps the order of sources, whatever each takes", async () => {
    const sizes = [900, 20, 700, 30, 500, 40];
    const sources = await Promise.all(sizes.map((size) => flat(118, size, size).png().toBuffer()));
    const widths: (number | undefined)[] = [];
    for await (const { picture: decoded } of gradeFrames(sources, {}, { jobs: 4 }))
      widths.push(decoded?.width);
    expect(widths).toEqual(sizes);
  });

  test("one bad file is a row, not the end", async () => {
    const good = join(folder, "good é ñ 港.png");
    await writeFile(good, await grey(118));
    const empty = join(folder, "empty.jpg");
    await writeFile(empty, "");
    const words = join(folder, "words.jpg");
    await writeFile(words, "these are words\n".repeat(40));
    const whole = await sharp(await flat(118, 800, 800).png().toBuffer())
      .jpeg()
      .toBuffer();
    const cut = join(folder, "cut.jpg");
    await writeFile(cut, whole.subarray(0, whole.length >> 1));
    const sources = [
      good,
      empty,
      words,
      cut,
      folder,
      join(folder, "none.jpg"),
      pathToFileURL(good),
    ];
    const rows: FrameResult[] = [];
    for await (const row of gradeFrames(sources, { place: 0 })) rows.push(row);
    expect(rows.map(({ failure }) => failure?.code ?? null)).toEqual([
      null,
      "empty-file",
      "not-a-picture",
      "truncated",
      "is-a-folder",
      "no-such-file",
      null,
    ]);
    expect(rows[0]?.file).toBe(good.replaceAll("\\", "/"));
    expect(summarise(rows)).toMatchObject({ frames: 7, within: 2, failed: 5 });
    for (const { failure } of rows) expect(failure?.message ?? "").not.toMatch(/vips|libpng|\n/i);
  });

  test("each frame may have a brief of its own", async () => {
    const source = await grey(118);
    const verdicts = [];
    for await (const { verdict } of gradeFrames([source, source], (_, i) => ({
      place: i === 0 ? 0 : 2,
    }))) {
      verdicts.push(verdict);
    }
    expect(verdicts).toEqual(["within", "under"]);
  });

  test.each([
    [{ place: "nosuchtone" }, "bad-place"],
    [{ place: "1..x" }, "bad-place"],
    [{ region: "box:0.5,0.5,0.6,0.6" }, "bad-region"],
    [{ tolerance: 0 }, "bad-tolerance"],
    [{ tolerance: "wide" }, "bad-tolerance"],
    [{ basis: "raw" as "scene" }, "bad-basis"],
    [{ plac: "tar" } as object, "bad-brief"],
  ])("a wrong brief %j is refused before anything is opened", async (brief, code) => {
    const first = gradeFrames(["does not matter"], brief).next();
    await expect(first).rejects.toThrow(GraderError);
    await expect(gradeFrame("does not matter", brief)).rejects.toMatchObject({ code });
  });
});

describe("what is no picture", () => {
  test.each([
    [42, "received a number"],
    [null, "received null"],
    [new ArrayBuffer(3), "received an ArrayBuffer; wrap it"],
    [new URL("https://example.com/a.jpg"), "download the picture first"],
  ])("%s is refused in a sentence", async (source, says) => {
    const grading = gradeFrame(source as unknown as string);
    await expect(grading).rejects.toThrow(says);
    await expect(grading).rejects.toMatchObject({ code: "bad-option" });
  });
});

describe("a Blob", () => {
  const snow = async (): Promise<Uint8Array<ArrayBuffer>> =>
    Uint8Array.from(await flat(200).jpeg().toBuffer());

  test("is graded as its bytes are, under the name of its File", async () => {
    const bytes = await snow();
    const brief = { place: "snow" };
    const row = await gradeFrame(bytes, brief);
    expect(row.verdict).not.toBeNull();
    expect(await gradeFrame(new Blob([bytes]), brief)).toEqual(row);
    const file = new File([bytes], "snow.jpg");
    expect(await gradeFrame(file, brief, { processes: true })).toEqual({
      ...row,
      file: "snow.jpg",
    });
    expect((await gradeFrame(file, brief, { name: "S1" })).file).toBe("S1");
  });

  test("that is empty, or cannot be read any more, fails its row", async () => {
    expect((await gradeFrame(new Blob([]))).failure?.code).toBe("empty-file");
    const path = join(await newFolder(), "gone.jpg");
    await writeFile(path, await snow());
    const gone = await openAsBlob(path);
    await rm(dirname(path), { recursive: true });
    expect((await gradeFrame(gone)).failure?.code).toBe("cannot-read");
  });

  test("is no source of the other functions, which say what is", async () => {
    const reading = readFrame(new Blob(["x"]) as unknown as string);
    await expect(reading).rejects.toThrow("received a Blob; wrap it");
  });
});

describe("laws", () => {
  test("doubling linear light moves the fall by exactly one stop", async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.integer({ min: 1, max: 32767 }), { minLength: 4, maxLength: 4 }),
        async (light) => {
          const linear = (values: number[]): Promise<Buffer> =>
            sharp(Uint16Array.from(values), { raw: { width: 2, height: 2, channels: 1 } })
              .toColourspace("grey16")
              .png()
              .toBuffer();
          const { pngWithProfile, greyProfile } = await import("./iccProfile.ts");
          const profile = greyProfile({ gamma: 1 });
          const once = await gradeFrame(pngWithProfile(await linear(light), profile));
          const twice = await gradeFrame(
            pngWithProfile(await linear(light.map((value) => 2 * value)), profile),
          );
          // Tables hold luminance in whole parts of full scale, which codes of 1 to 6 in 65535 feel.
          expect((twice.fall?.stops ?? 0) - (once.fall?.stops ?? 0)).toBeCloseTo(1, 4);
        },
      ),
      { numRuns: 25 },
    );
  });
});
