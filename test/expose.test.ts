import { mkdir, readdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import sharp from "sharp";
import { describe, expect, test } from "vitest";
import {
  type Capture,
  type ExposureAsked,
  encodeFrame,
  exposeFrame,
  gradeFrame,
  kitCurve,
  madeFrameOf,
  openBracket,
  openCapture,
  PRINT,
  type RenderingCurve,
  readFrame,
  writePlace,
} from "../packages/grader/src/index.ts";
import { measureFrame } from "../packages/grader/src/judge/measure/measureFrame.ts";
import { decodeRaw } from "../packages/grader/src/picture/raw/decodeRaw.ts";
import { parseRegion } from "../packages/tone-core/src/index.ts";
import { captureOf, grey, patches, WIDTH } from "./exposeCaptures.ts";
import { corpus } from "./outside.mjs";
import { newFolder } from "./pictures.ts";

/*
 * Captures of known light, and what the frames made from them show: read back from the JPEG by the grader itself, as
 * anybody's frames are.
 */

/** What a made frame may be off, stops. */
const WITHIN = 0.01;

/** Six greys; the lightest saturates the sensor, 2.96 stops above middle grey. */
const GREYS = [-4, -2, -1, 0, 1, 3.2] as const;
const STEPS = patches(GREYS.map(grey));

async function fallsOf(
  jpeg: Uint8Array,
  regions: readonly string[],
): Promise<{ stops: number; bound: string | null; clipped: number }[]> {
  const rows = await Promise.all(
    regions.map((region) => gradeFrame(jpeg, { region }, { precision: "exact" })),
  );
  return rows.map(({ fall, clipped }) => ({
    stops: fall?.stops ?? Number.NaN,
    bound: fall?.bound ?? null,
    clipped: clipped?.share ?? Number.NaN,
  }));
}

async function made(
  capture: Capture,
  asked: ExposureAsked,
  curve?: RenderingCurve,
): Promise<Uint8Array> {
  return encodeFrame(await exposeFrame(capture, asked, curve));
}

describe("a frame made from a capture of known light", async () => {
  const capture = await openCapture(captureOf(STEPS.light), { name: "steps.dng" });
  const regions = GREYS.map((_, i) => STEPS.region(i));

  test.each([0, -2, 1, 2 / 3])("shows every grey where %s stops put it", async (by) => {
    const falls = await fallsOf(await made(capture, { by }), regions);
    const shown = GREYS.slice(0, -1).map((stops) => stops + by);
    for (const [i, wanted] of shown.entries()) {
      // White lies 2.47 stops above middle grey.
      if (wanted > 2.4) continue;
      expect(falls[i]?.bound).toBeNull();
      expect(Math.abs((falls[i]?.stops as number) - wanted), `grey ${i}`).toBeLessThan(WITHIN);
    }
    // What saturated the sensor is clipped in every frame, and nothing else is.
    expect(falls.map(({ clipped }) => clipped)).toEqual([0, 0, 0, 0, 0, 1]);
  });

  test("puts a region where it belongs, and follows a meter with its compensation", async () => {
    const placed = await made(capture, { place: "-2..-1", region: regions[3] as string });
    expect((await fallsOf(placed, [regions[3] as string]))[0]?.stops).toBeCloseTo(-1.5, 2);
    const spot = { x: 1.5 / GREYS.length, y: 0.5 };
    const asked = { asMetered: "spot", spot, spotShare: 0.01, compensation: -4 / 3 } as const;
    const metered = await exposeFrame(capture, asked);
    expect(metered.exposure.reading?.stops).toBeCloseTo(-2, 2);
    const [fall] = await fallsOf(await encodeFrame(metered), [regions[1] as string]);
    expect(fall?.stops).toBeCloseTo(-4 / 3, 2);
  });

  test("names the settings that the exposure would have had, to the third", async () => {
    const by = { by: 1 + 1 / 3 };
    const { exposure } = await exposeFrame(capture, by);
    expect(exposure.settings).toMatchObject({ aperture: 8, shutterSeconds: 1 / 50, iso: 100 });
    expect(exposure.settings?.roundingStops).toBeCloseTo(0, 9);
    const same = await exposeFrame(capture, { by: 0, aperture: 4 });
    expect(same.exposure.settings).toMatchObject({ aperture: 4, shutterSeconds: 1 / 500 });
    // A reading is no third; steps of a series are kept all the same.
    const metered = { asMetered: "average" } as const;
    const [a, b] = await Promise.all(
      [0, 1].map((bracket) => exposeFrame(capture, { ...metered, bracket })),
    );
    expect(b?.exposure.settings?.roundingStops).toBeCloseTo(
      a?.exposure.settings?.roundingStops as number,
      9,
    );
    expect((b?.exposure.stops as number) - (a?.exposure.stops as number)).toBeCloseTo(1, 9);
  });

  test("says what was not known: clipped parts, noise, and that exposure alone changed", async () => {
    const codes = async (by: number): Promise<string[]> =>
      (await exposeFrame(capture, { by })).notes.map(({ code }) => code);
    expect(await codes(-1)).toEqual(["exposure-alone", "capture-clipped"]);
    expect(await codes(2)).toEqual(["exposure-alone", "capture-clipped", "capture-noise"]);
    expect(await codes(6)).toContain("capture-noise-strong");
    const placed = await exposeFrame(capture, { place: 0, region: regions[5] as string });
    expect(placed.notes.map(({ code }) => code)).toContain("capture-censored");
    await expect(exposeFrame(capture, { by: 13 })).rejects.toMatchObject({ code: "bad-option" });
    await expect(exposeFrame(capture, { by: Number.NaN })).rejects.toMatchObject({
      code: "bad-option",
    });
  });

  test("renders by a shoulder and by a kit, middle grey where it belongs", async () => {
    const shoulder = await fallsOf(await made(capture, { by: 0 }, PRINT), regions);
    expect(shoulder[3]?.stops).toBeCloseTo(0, 2);
    expect(shoulder[4]?.stops).toBeCloseTo(1, 2);
    // 2 stops above middle grey, Y = 0.72, the formula gives 1 - 0.64 (0.684 / 1.044)^1.63125.
    const two = await fallsOf(await made(capture, { by: 1 }, PRINT), regions);
    const shown = 1 - 0.64 * (0.684 / 1.044) ** 1.63125;
    expect(two[4]?.stops).toBeCloseTo(Math.log2(shown / 0.18), 2);
    // A camera that shows a stop of light as 1.25 stops and middle grey at code 118.
    const points = [2, 8, 20, 50, 118, 190, 255].map((code) => ({
      code,
      stops: Math.log2(((code / 255 + 0.055) / 1.055) ** 2.4 / 0.18) / 1.25,
    }));
    const curve = kitCurve({
      file: "kits/steep.yaml",
      kit: {
        ...{ schemaVersion: 1, camera: { make: "A", model: "B" }, style: {}, iso: null },
        middleGrey: { rendered: { code: 117.65, stops: 0, uncertainty: 0.05 }, sensor: null },
        ...{ curve: { luminance: points }, uncertainty: 0.02 },
        measured: { how: ["bracket"], frames: 5, on: null },
      },
    });
    const steep = await fallsOf(await made(capture, { by: 0 }, curve), regions);
    expect(steep[3]?.stops).toBeCloseTo(0, 2);
    // The curve runs through its own points alone, so a stop away it is known to a few hundredths.
    expect(steep[2]?.stops).toBeCloseTo(-1.25, 1);
  });

  test("carries the truth, and is recognised", async () => {
    const jpeg = await made(capture, { asMetered: "spot", compensation: -2 });
    const { exposure, notes } = await readFrame(jpeg, "made.jpg");
    expect(exposure && madeFrameOf(exposure)?.software).toMatch(/^Tonefall expose \d/);
    expect(notes.map(({ code }) => code)).toEqual(["made-frame"]);
    expect(exposure).toMatchObject({
      aperture: { value: 8 },
      compensation: { value: -2 },
      mode: { value: "auto" },
      meteringPattern: { value: "spot" },
      customRendered: { value: "custom" },
      locationPresent: { value: null, reason: "absent" },
    });
    const text = Buffer.from(jpeg).toString("latin1");
    expect(text).toContain("Made by Tonefall from steps.dng: as metered, spot -2");
    const row = await gradeFrame(jpeg);
    expect(row.notes.map(({ code }) => code)).toContain("made-frame");
    expect(row.notes.map(({ code }) => code)).not.toContain("custom-rendered");
    await expect(openCapture(jpeg)).rejects.toMatchObject({ code: "not-linear" });
    const camera = await readFrame(captureOf(STEPS.light), "a.dng");
    expect(camera.exposure && madeFrameOf(camera.exposure)).toBeNull();
  });

  test("is recognised after an editor has written it anew, and not once its metadata are gone", async () => {
    const jpeg = await made(capture, { by: 0 });
    const picture = sharp(jpeg).resize(64).keepXmp();
    const edited = await picture.withExif({ IFD0: { Software: "An editor 1.0" } }).toBuffer();
    const { exposure } = await readFrame(edited, "edited.jpg");
    expect(exposure && madeFrameOf(exposure)?.software).toMatch(/^Tonefall expose \d/);
    const bare = await readFrame(await sharp(jpeg).resize(64).toBuffer(), "bare.jpg");
    expect(bare.exposure && madeFrameOf(bare.exposure)).toBeNull();
    const missed = await gradeFrame(jpeg, { region: STEPS.region(1), place: 1 });
    expect(missed).toMatchObject({ verdict: "under", causes: [], next: null });
  });

  test("is written whole or not at all, and never over a photograph", async () => {
    const folder = await newFolder();
    const path = join(folder, "frame.jpg");
    const kind = "made-frame";
    await encodeFrame(await exposeFrame(capture, { by: 0 }), { place: writePlace({ path, kind }) });
    expect(() => writePlace({ path, kind })).toThrow(/--force/);
    await encodeFrame(await exposeFrame(capture, { by: 1 }), {
      place: writePlace({ path, kind, force: true }),
    });
    const photograph = join(folder, "photograph.jpg");
    await writeFile(photograph, await readFile("samples/harbour/02-tarred-hull-corrected.jpg"));
    expect(() => writePlace({ path: photograph, kind, force: true })).toThrow(/never written over/);
    // No other output takes a made frame for its own.
    expect(() => writePlace({ path, kind: "csv", force: true })).toThrow(/never written over/);
    await mkdir(join(folder, "none"));
    const gone = writePlace({ path: join(folder, "none", "deeper", "frame.jpg"), kind });
    await expect(
      encodeFrame(await exposeFrame(capture, { by: 0 }), { place: gone }),
    ).rejects.toThrow();
    expect((await readdir(folder)).sort()).toEqual(["frame.jpg", "none", "photograph.jpg"]);
  });
});

describe("colours", async () => {
  const COLOURS = [
    [0.3, 0.02, 0.02],
    [0.02, 0.3, 0.02],
    [0.01, 0.02, 0.4],
    // Beyond sRGB: the camera sees what a screen cannot show.
    [0.4, -0.03, 0.1],
    [-0.05, 0.3, 0.3],
    [0.2, 0.18, 0.16],
  ] as const;
  const scene = patches(COLOURS);
  const capture = await openCapture(captureOf(scene.light));

  test.each([0, 1])("keep their luminance %s stops lighter, inside sRGB and beyond", async (by) => {
    const regions = COLOURS.map((_, i) => scene.region(i));
    const falls = await fallsOf(await made(capture, { by }), regions);
    for (const [i, [r, g, b]] of COLOURS.entries()) {
      const luminance = 0.2126 * r + 0.7152 * g + 0.0722 * b;
      const wanted = Math.log2(luminance / 0.18) + by;
      expect(Math.abs((falls[i]?.stops as number) - wanted), `colour ${i}`).toBeLessThan(0.02);
    }
  });
});

describe("a bracket as the source", async () => {
  const folder = await newFolder();
  // From 6 stops under middle grey to 5 over it: no single frame of the test camera holds both.
  const LIGHTS = [-6, -4, -2, 0, 2.5, 5] as const;
  const scene = patches(LIGHTS.map(grey));
  const write = async (name: string, bytes: Uint8Array): Promise<string> => {
    await writeFile(join(folder, name), bytes);
    return join(folder, name);
  };
  const paths = await Promise.all(
    [-4, -2, 0, 2].map((stops) => write(`at${stops}.dng`, captureOf(scene.light, { stops }))),
  );

  test("holds what no frame of it holds alone", async () => {
    const capture = await openBracket(paths);
    expect(capture.clippedShare).toBe(0);
    // The middle frame of four is the second, two stops under.
    for (const [i, stops] of LIGHTS.entries()) {
      const asked = { place: stops > 2 ? 1 : stops, region: scene.region(i) };
      const { exposure } = await exposeFrame(capture, asked);
      expect(Math.abs((exposure.placed?.falls as number) - (stops - 2)), `${stops}`).toBeLessThan(
        WITHIN,
      );
    }
  });

  test("takes up what a shutter strays, and names what moved", async () => {
    const strayed = captureOf(scene.light, { stops: 2, stray: 0.1 });
    const capture = await openBracket([paths[2] as string, await write("stray.dng", strayed)]);
    expect(capture.notes.map(({ code }) => code)).toContain("bracket-stray");
    const asked = { place: 0, region: scene.region(1) };
    // Which of two shutters strays is not known: each is taken to stray by half.
    const { exposure } = await exposeFrame(capture, asked);
    expect(exposure.placed?.falls).toBeCloseTo(-4 + 0.05, 2);
    const moving = captureOf(
      (x, y) => (x > WIDTH / 2 && x < WIDTH / 2 + 32 && y < 48 ? grey(1) : scene.light(x, y)),
      { stops: -2 },
    );
    const moved = await openBracket([paths[2] as string, await write("moved.dng", moving)]);
    const note = moved.notes.find(({ code }) => code === "bracket-moved");
    expect(note?.message).toMatch(
      /shows something that moved, around box:0\.50,0\.00,0\.08,0\.19;/,
    );
  });

  test("is refused with its reason where the frames do not fit", async () => {
    const [, , middle] = paths as [string, string, string];
    const other = await write(
      "other.dng",
      captureOf((x) => grey(-2 + x / 200), { stops: 1 }),
    );
    const refusal = async (files: readonly string[]): Promise<string> => {
      const caught = await openBracket(files).catch((error: unknown) => error);
      expect(caught).toMatchObject({ code: "bracket-refused" });
      return (caught as Error).message;
    };
    expect(await refusal([middle])).toMatch(/two frames or more/);
    expect(await refusal([middle, middle])).toMatch(/settings of another/);
    expect(await refusal([middle, other])).toMatch(/differs|from what its settings say/);
    expect(await refusal([middle, join(folder, "none.dng")])).toMatch(/cannot be read/);
  });
});

test(`a real chart keeps its steps in every frame of a bracket${corpus.skipped}`, async ({
  skip,
}) => {
  if (corpus.path === null) return skip();
  const path = join(corpus.path, "raw/colorchart.dng");
  const capture = await openCapture(path);
  const regions = CHART_NEUTRALS;
  // The sensor's own values, which nothing has interpolated.
  const decoded = await decodeRaw(path);
  const sensor = regions.map((region) => {
    const { statistics } = measureFrame(decoded, parseRegion(region), { histograms: false });
    return Math.log2(statistics.mean / decoded.middleGrey);
  });
  const base = -(sensor[1] as number);
  for (const bracket of [-1, 0, 1]) {
    const falls = await fallsOf(await made(capture, { by: base, bracket }), regions);
    for (const [i, { stops, bound }] of falls.entries()) {
      if (bound !== null) continue;
      const step = stops - (falls[1]?.stops as number);
      const onSensor = (sensor[i] as number) - (sensor[1] as number);
      expect(Math.abs(step - onSensor), `patch ${i} at ${bracket}`).toBeLessThan(0.03);
    }
  }
});

/** The neutral row of the chart's lower half, white to black: boxes inside the patches. */
const CHART_NEUTRALS = [0.406, 0.469, 0.533, 0.597, 0.66, 0.724].map(
  (centre) => `box:${centre - 0.0127},0.784,0.0254,0.038`,
);
