import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { type Brief, type FrameResult, gradeFrames, readBriefFile } from "@tonefall/grader";
import { beforeAll, describe, expect, test } from "vitest";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");

/** The most that grain and JPEG move a region's mean; on the sensor, grain and the filter pattern. */
const FALL_TOLERANCE_STOPS = 0.03;
const SENSOR_TOLERANCE_STOPS = 0.02;

interface Truth {
  readonly frames: readonly {
    readonly file: string;
    readonly expectedVerdict: string;
    readonly subject: string;
    readonly regions: Readonly<
      Record<
        string,
        {
          readonly renderedStops?: number;
          readonly sceneStops: number;
          readonly saturatedShare?: number;
        }
      >
    >;
    readonly basis?: "scene";
  }[];
}
const truth = JSON.parse(readFileSync(resolve(HARBOUR, "truth.json"), "utf8")) as Truth;

// Truth: the reflectances, light and camera the frames were computed from, never the frames themselves.
describe("the harbour samples, graded by their brief", () => {
  let results: FrameResult[] = [];
  beforeAll(async () => {
    const brief = await readBriefFile(resolve(HARBOUR, "brief.yaml"));
    const paths = truth.frames.map(({ file }) => resolve(HARBOUR, file));
    const briefOf = (_source: unknown, index: number): Brief =>
      brief.briefFor(paths[index] as string, HARBOUR);
    results = [];
    for await (const result of gradeFrames(paths, briefOf)) results.push(result);
  });

  test.each(truth.frames.map((frame, index) => ({ ...frame, index })))(
    "$file is $expectedVerdict",
    ({ expectedVerdict, index }) => {
      expect(results[index]?.failure).toBeNull();
      expect(results[index]?.verdict).toBe(expectedVerdict);
    },
  );

  test("the brief's regions fall where the scene puts them", () => {
    for (const [index, { file, regions, subject, basis }] of truth.frames.entries()) {
      // A clipped picture has a tone of its own too: what is left of the scene's.
      const { fall } = results[index] as FrameResult;
      const region = regions[subject];
      const expected = (basis ? region?.sceneStops : region?.renderedStops) ?? Number.NaN;
      expect(Math.abs((fall?.stops ?? Number.NaN) - expected), file).toBeLessThan(
        basis ? SENSOR_TOLERANCE_STOPS : FALL_TOLERANCE_STOPS,
      );
    }
  });

  test("a fall is a bound where part of the region is saturated, and the scene lies there or beyond", () => {
    const bounded = [];
    for (const [index, { file, regions, subject }] of truth.frames.entries()) {
      const { fall } = results[index] as FrameResult;
      const { saturatedShare = 0, sceneStops = Number.NaN } = regions[subject] ?? {};
      // Single channels clip before a pixel is saturated, so that less than a hundredth decides nothing.
      if (saturatedShare > 0.01) expect(fall?.bound, file).toBe("at least");
      if (!fall?.bound) continue;
      bounded.push(file);
      expect(sceneStops, file).toBeGreaterThan(fall.stops - FALL_TOLERANCE_STOPS);
    }
    // Four by their saturated share, and the bright end of the bracket by its lightest channel.
    expect(bounded).toEqual([
      "11-bracket-plus-2.jpg",
      "17-doorway-partial.jpg",
      "18-doorway-spot.jpg",
      "27-lit-window-as-metered.jpg",
      "29-slip-and-boathouse.jpg",
    ]);
  });

  test("the raw and its picture differ in what is clipped, not in what was lit", () => {
    const [raw, picture] = ["29-slip-and-boathouse.dng", "29-slip-and-boathouse.jpg"].map(
      (name) => results[truth.frames.findIndex(({ file }) => file === name)],
    );
    expect(raw).toMatchObject({ basis: "scene", fall: { bound: null }, clipped: { share: 0 } });
    expect(picture).toMatchObject({ basis: "rendered", fall: { bound: "at least" } });
    expect(picture?.clipped?.share).toBeGreaterThan(0.1);
    expect(raw?.givenExposure).toBe(picture?.givenExposure);
  });
});
