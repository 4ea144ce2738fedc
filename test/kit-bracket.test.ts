import { readdirSync, readFileSync } from "node:fs";
import { copyFile, rm } from "node:fs/promises";
import { join } from "node:path";
import { type CameraKit, type KitPoint, measureBracket } from "@tonefall/grader";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import {
  normal,
  RENDERINGS,
  type Rendering,
  random,
  trueLuminanceStops,
  trueStops,
  writeBracket,
  writeFrame,
} from "./kitScene.ts";
import { newFolder } from "./pictures.ts";

/** A recovered curve may be off by this over the codes below, stops. */
const CURVE_TOLERANCE = 0.05;
const [FIRST_CODE, LAST_CODE] = [20, 235];

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
});
afterAll(() => rm(folder, { recursive: true }));

/** A kit's curve; failing where there is none. */
function curveOf(
  kit: CameraKit | null,
  name: "luminance" | "red" | "green" | "blue",
): readonly KitPoint[] {
  const points = kit?.curve?.[name];
  if (!points) throw new Error(`no curve of ${name}`);
  return points;
}

const at = (points: readonly KitPoint[], code: number): number =>
  (points.find((point) => point.code === code) as KitPoint).stops;

describe.each(Object.entries(RENDERINGS))("measureBracket of %s", (name, rendering) => {
  const result = (): ReturnType<typeof measureBracket> => measured;
  let measured: ReturnType<typeof measureBracket>;
  beforeAll(async () => {
    const paths = await writeBracket(join(folder, name), 9, () => ({ rendering }));
    measured = measureBracket(paths);
    await measured;
  }, 60_000);

  test.each(["red", "green", "blue"] as const)("recovers %s within 0.05 stop", async (channel) => {
    const points = curveOf((await result()).kit, channel);
    const index = ["red", "green", "blue"].indexOf(channel);
    expect(points[0]?.code).toBeLessThanOrEqual(FIRST_CODE);
    expect(points.at(-1)?.code).toBeGreaterThanOrEqual(LAST_CODE);
    for (const { code, stops } of points) {
      if (code < FIRST_CODE || code > LAST_CODE) continue;
      const error = stops - at(points, 118) - trueStops(rendering, index, code, 118);
      expect(Math.abs(error), `code ${code}`).toBeLessThan(CURVE_TOLERANCE);
    }
  });

  test("recovers luminance of greys within 0.05 stop", async () => {
    const points = curveOf((await result()).kit, "luminance");
    expect(points[0]?.code).toBeLessThanOrEqual(FIRST_CODE);
    expect(points.at(-1)?.code).toBeGreaterThanOrEqual(LAST_CODE);
    for (const { code, stops } of points) {
      if (code < FIRST_CODE || code > LAST_CODE) continue;
      const error = stops - at(points, 118) - trueLuminanceStops(rendering, code, 118);
      expect(Math.abs(error), `code ${code}`).toBeLessThan(CURVE_TOLERANCE);
    }
  });

  test("uses every frame, and every curve rises", async () => {
    const { frames, kit } = await result();
    expect(frames.map(({ included }) => included)).toEqual(frames.map(() => true));
    for (const curve of ["luminance", "red", "green", "blue"] as const) {
      const points = curveOf(kit, curve);
      for (const [i, { stops }] of points.slice(1).entries()) {
        expect(stops).toBeGreaterThan(points[i]?.stops as number);
      }
    }
  });
});

describe("measureBracket of five frames whose exposures stray as far as the budget says", () => {
  /** The budget's 0.05 stop of a pair, for one frame. */
  const EXPOSURE_ERROR = 0.05 / Math.SQRT2;
  /**
   * Mean square of error over stated error, one trial a bracket, since one bracket's errors go together: that of the
   * normal distribution is 1, and 99 of 100 means of six lie below this (chi square of six, over six).
   */
  const LARGEST_MEAN_SQUARE = 2.8;

  test("states an uncertainty that covers the truth, for every curve and each channel", async () => {
    const strays = random(20);
    const CURVES = ["luminance", "red", "green", "blue"] as const;
    const sums = CURVES.map(() => 0);
    for (const [name, rendering] of Object.entries(RENDERINGS)) {
      const paths = await writeBracket(join(folder, `strays ${name}`), 5, () => ({
        rendering,
        hidden: EXPOSURE_ERROR * normal(strays),
      }));
      const { kit } = await measureBracket(paths);
      for (const [i, curve] of CURVES.entries()) {
        const points = curveOf(kit, curve).filter(
          ({ code }) => code >= FIRST_CODE && code <= LAST_CODE && code !== 118,
        );
        const middle = at(curveOf(kit, curve), 118);
        const squares = points.map(({ code, stops, uncertainty }) => {
          const truth =
            curve === "luminance"
              ? trueLuminanceStops(rendering, code, 118)
              : trueStops(rendering, i - 1, code, 118);
          return ((stops - middle - truth) / (uncertainty as number)) ** 2;
        });
        sums[i] = (sums[i] as number) + squares.reduce((a, b) => a + b, 0) / squares.length;
      }
    }
    for (const [i, curve] of CURVES.entries()) {
      expect((sums[i] as number) / 6, curve).toBeLessThan(LARGEST_MEAN_SQUARE);
    }
  }, 120_000);
});

describe("measureBracket", () => {
  const bracket = (
    name: string,
    frame: Parameters<typeof writeBracket>[2] = () => ({}),
    count = 7,
  ): Promise<string[]> => writeBracket(join(folder, name), count, frame);

  test("leaves out the frame whose light changed, by name, and keeps the curve", async () => {
    const { kit, frames } = await measureBracket(
      await bracket("light", (i) => (i === 2 ? { hidden: 0.4 } : {})),
    );
    expect(frames.map(({ included }) => included)).toEqual([
      true,
      true,
      false,
      true,
      true,
      true,
      true,
    ]);
    expect(frames[2]?.offset).toBeCloseTo(0.4, 1);
    expect(frames[2]?.reason).toMatch(/0\.(39|4\d) stop lighter/);
    const points = curveOf(kit, "green");
    for (const code of [30, 60, 180, 230]) {
      const truth = trueStops(RENDERINGS["plain sRGB"] as Rendering, 1, code, 118);
      expect(Math.abs(at(points, code) - at(points, 118) - truth)).toBeLessThan(CURVE_TOLERANCE);
    }
  });

  test("refuses frames that were toned one by one", async () => {
    const uneven = [0.9, -0.5, 0.1, 0.7, -0.8, 0.4, -0.6];
    const { kit: none, refusal: why } = await measureBracket(
      await bracket("toned unevenly", (i) => ({ hidden: uneven[i] as number })),
    );
    expect(none).toBeNull();
    expect(why?.code).toBe("kit-refused");
  });

  test("refuses frames of different curves, mixed without a word in their metadata", async () => {
    const [soft, hard] = ["low contrast", "a steep S-curve"].map((name) => RENDERINGS[name]);
    const { kit, refusal } = await measureBracket(
      await bracket("curves", (i) => ({ rendering: (i % 2 === 0 ? soft : hard) as Rendering })),
    );
    expect([kit, refusal?.code]).toEqual([null, "kit-refused"]);
  });

  test("names the one frame of another curve", async () => {
    const { frames } = await measureBracket(
      await bracket("one curve", (i) => ({
        rendering: RENDERINGS[i === 3 ? "a steep S-curve" : "plain sRGB"] as Rendering,
      })),
    );
    expect(frames.map(({ included }) => included)).toEqual(
      [0, 1, 2, 3, 4, 5, 6].map((i) => i !== 3),
    );
  });

  test.each([
    ["style", { exif: { Contrast: "2" } }, /contrast/],
    ["software", { camera: { Software: "Editor 3" } }, /software/],
    ["camera", { camera: { Model: "Other camera" } }, /model/],
  ])("refuses frames that differ in %s", async (name, odd, words) => {
    const paths = await bracket(`mixed ${name}`, (i) => (i === 3 ? odd : {}));
    await expect(measureBracket(paths)).rejects.toMatchObject({
      code: "kit-mixed",
      message: expect.stringMatching(words),
    });
  });

  test("refuses frames that were merged or toned by place", async () => {
    const paths = await bracket("merged", (i) =>
      i === 3 ? { exif: { CustomRendered: "3" } } : {},
    );
    await expect(measureBracket(paths)).rejects.toMatchObject({ code: "kit-refused" });
  });

  test("refuses one frame, and frames of one exposure", async () => {
    const paths = await bracket("few", () => ({ step: 0 }), 3);
    await expect(measureBracket(paths.slice(0, 1))).rejects.toMatchObject({ code: "kit-refused" });
    await expect(measureBracket(paths)).rejects.toMatchObject({
      code: "kit-refused",
      message: expect.stringContaining("exposures"),
    });
  });

  test("gives one curve in any order of the files", async () => {
    const paths = await bracket("order");
    const [a, b] = [await measureBracket(paths), await measureBracket([...paths].reverse())];
    for (const code of [20, 118, 200]) {
      expect(at(curveOf(b.kit, "luminance"), code)).toBeCloseTo(
        at(curveOf(a.kit, "luminance"), code),
        3,
      );
    }
    expect(b.frames.map(({ file }) => file)).toEqual(a.frames.map(({ file }) => file).reverse());
  });

  test("takes typed times in the order of the files, and refuses them in another", async () => {
    const paths = await bracket("typed", () => ({ untimed: true }));
    await expect(measureBracket(paths)).rejects.toMatchObject({
      code: "kit-refused",
      message: expect.stringContaining("--times"),
    });
    const times = paths.map((_, i) => 2 ** (i - 3) / 64);
    const { kit } = await measureBracket(paths, { times });
    const points = curveOf(kit, "green");
    const truth = trueStops(RENDERINGS["plain sRGB"] as Rendering, 1, 200, 118);
    expect(Math.abs(at(points, 200) - at(points, 118) - truth)).toBeLessThan(CURVE_TOLERANCE);

    const shuffled = [3, 0, 5, 1, 6, 2, 4].map((i) => times[i] as number);
    const refused = await measureBracket(paths, { times: shuffled });
    expect([refused.kit, refused.refusal?.code]).toEqual([null, "kit-refused"]);
    expect(refused.refusal?.message).toContain("from the shortest to the longest: type them so.");
    await expect(measureBracket(paths, { times: times.slice(1) })).rejects.toMatchObject({
      code: "bad-option",
    });
  });

  test("says that the files fit in the natural order of their names, or nothing where no order does", async () => {
    const natural: string[] = [];
    for (let i = 1; i <= 14; i++) {
      const made = { seconds: 2 ** (i / 2 - 3) / 64, untimed: true };
      natural.push(await writeFrame(join(folder, "named"), `${i}.png`, made, i));
    }
    const times = natural.map((_, i) => 2 ** ((i + 1) / 2 - 3) / 64);
    const told = async (files: readonly string[]): Promise<string> =>
      (await measureBracket(files, { times })).refusal?.message ?? "";
    expect(await told([...natural].sort())).toMatch(/natural order of their names, 9 before 10/);
    const renamed = async (name: string, files: readonly (string | undefined)[]) => {
      const paths = files.map((_, i) => join(folder, "named", `${name} ${i}.png`));
      for (const [i, path] of paths.entries()) await copyFile(files[i] as string, path);
      return paths;
    };
    const none = [3, 0, 13, 5, 11, 1, 9, 6, 12, 2, 8, 10, 4, 7].map((i) => natural[i]);
    expect(await told(await renamed("none", none))).toMatch(/photograph the bracket again\.$/);
  });

  // Ten is the fewest whose names text orders otherwise, with one of them elsewhere: the hardest to tell.
  test.each([10, 12])(
    "recognises times in text order, and reversed, of %i frames",
    async (count) => {
      const paths: string[] = [];
      const seconds = Array.from({ length: count }, (_, i) => 2 ** (0.7 * i - 4) / 64);
      for (const [i, time] of seconds.entries()) {
        const made = { seconds: time, untimed: true };
        paths.push(await writeFrame(join(folder, `typed ${count}`), `${i + 1}.png`, made, i));
      }
      const measured = (times: readonly number[]) => measureBracket(paths, { times });
      expect((await measured(seconds)).kit).not.toBeNull();
      const back = await measured(seconds.toReversed());
      expect(back.kit).toBeNull();
      expect(back.refusal?.message).toMatch(/in reverse: type them from the last to the first\.$/);
      // What a folder's list sorted as text shows, 1 10 11 2 3: each time beside its own file there.
      const asText = [...paths].sort().map((path) => seconds[paths.indexOf(path)] as number);
      const text = await measured(asText);
      expect(text.kit).toBeNull();
      expect(text.refusal?.message).toMatch(/in the order of their names as text, 10 before 9/);
    },
  );

  test("refuses frames of different sizes", async () => {
    const paths = await bracket("sizes", () => ({}), 3);
    const { default: sharp } = await import("sharp");
    const other = join(folder, "sizes", "small.png");
    await sharp(paths[0]).resize(120, 80).keepMetadata().png().toFile(other);
    await expect(measureBracket([other, ...paths])).rejects.toMatchObject({ code: "kit-mixed" });
  });

  test("names a frame that cannot be read", async () => {
    const paths = await bracket("unread", () => ({}), 3);
    await expect(measureBracket([...paths, "not there.jpg"])).rejects.toMatchObject({
      message: expect.stringContaining("not there.jpg"),
    });
    expect(await writeFrame(join(folder, "unread"), "x.png", { seconds: 1 / 64 })).toContain(
      "x.png",
    );
  });
});

describe.skipIf(!hasCorpus)(`real brackets${skippedBecause}`, () => {
  /** A linear series must come out as straight as this over its usable codes, stops. */
  const LINEAR_TOLERANCE = 0.1;

  test.each(["colorchecker_450nm", "colorchecker_550nm", "colorchecker_600nm"])(
    "%s, sensor codes kept as a picture, is linear",
    async (series) => {
      const names = readdirSync(corpusFile(`bracket/${series}`));
      const times = names.map((name) => Number(/_(\d+)ms_/.exec(name)?.[1]) / 1000);
      const { kit } = await measureBracket(
        names.map((name) => corpusFile(`bracket/${series}/${name}`)),
        { times },
      );
      const points = curveOf(kit, "luminance");
      const usable = points.filter(({ code }) => code >= 10 && code <= 245);
      expect(usable.length).toBeGreaterThan(100);
      for (const { code, stops } of usable) {
        const error = stops - at(points, 118) - Math.log2(code / 118);
        expect(Math.abs(error), `code ${code}`).toBeLessThan(LINEAR_TOLERANCE);
      }
    },
  );

  test("a bracket whose frames are shifted against each other is refused", async () => {
    const names = readdirSync(corpusFile("bracket/street_T2i"));
    const { kit, refusal } = await measureBracket(
      names.map((name) => corpusFile(`bracket/street_T2i/${name}`)),
    );
    expect(kit).toBeNull();
    expect(refusal?.code).toBe("kit-refused");
  });

  test.each(["room_T2i", "window_E995"])(
    "%s, straight from a camera: patches move as the given exposure does",
    async (series) => {
      interface Truth {
        readonly frames: readonly {
          readonly file: string;
          readonly exposure_stops_rel_first: number;
          readonly patch_usable: boolean;
          readonly patch_linear_Y_as_srgb: number;
        }[];
      }
      const truth = (
        JSON.parse(readFileSync(corpusFile("bracket/truth_bracket.json"), "utf8")) as Record<
          string,
          Truth
        >
      )[series] as Truth;
      const { kit, frames } = await measureBracket(
        truth.frames.map(({ file }) => corpusFile(`bracket/${series}/${file}`)),
      );
      expect(frames.filter(({ included }) => included).length).toBeGreaterThan(4);
      const points = curveOf(kit, "luminance");
      const lights = truth.frames.flatMap((frame) => {
        if (!frame.patch_usable) return [];
        const code = 255 * encoded(frame.patch_linear_Y_as_srgb);
        const [low, high] = [at(points, Math.floor(code)), at(points, Math.ceil(code))];
        return [low + (code % 1) * (high - low) - frame.exposure_stops_rel_first];
      });
      expect(lights.length).toBeGreaterThan(2);
      expect(Math.max(...lights) - Math.min(...lights)).toBeLessThan(0.15);
    },
  );
});

/** sRGB [SRGB]. */
function encoded(light: number): number {
  return light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055;
}
