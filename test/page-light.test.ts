import { resolve } from "node:path";
import { gradeFrame, type NamedKit } from "@tonefall/grader";
import { describe, expect, test } from "vitest";
import { frameLight } from "../packages/grader/src/output/page/client/frameLight.ts";
import { spotReading } from "../packages/grader/src/output/page/client/spotReading.ts";
import { type FrameView, frameView } from "../packages/grader/src/output/page/frameView.ts";
import { lightCode, lightOfCode } from "../packages/grader/src/output/page/lightCode.ts";
import { parseRegion } from "../packages/tone-core/src/index.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");

/** What the page's numbers may differ by from the command's on one region, stops: what reports promise. */
const AGREEMENT_STOPS = 0.05;

/** From a meter's spot to the smallest that the page allows, and boxes with edges on edges of the picture. */
const REGIONS = [
  "spot",
  "circle:0.3,0.4,0.1",
  "circle:0.62,0.55,0.05",
  "circle:0.45,0.3,0.04",
  "box:0.1,0.15,0.33,0.21",
  "box:0.52,0.61,0.12,0.08",
  "box:0.7,0.7,0.3,0.3",
  "whole",
];

describe("light in a page", () => {
  test.each([
    ["01-tarred-hull-as-metered.jpg", 320],
    ["10-bracket-plus-1.jpg", 320],
    ["26-wet-rope-corrected.jpg", 320],
    ["29-slip-and-boathouse.dng", 320],
    ["19-red-buoy-green-net.jpg", 240],
    ["27-lit-window-as-metered.jpg", 240],
    ["15-doorway-average.jpg", 160],
    ["29-slip-and-boathouse.dng", 160],
  ])("of %s in %i cells falls where the command says", async (file, proxy) => {
    const path = resolve(HARBOUR, file);
    const views: FrameView[] = [];
    const look = async (seen: Parameters<typeof frameView>[0]): Promise<void> => {
      views.push(await frameView(seen, { picture: 64, proxy }));
    };
    await gradeFrame(path, {}, { look });
    const packed = views[0]?.proxy;
    if (!packed) throw new Error("the frame was not seen");
    const light = await frameLight(packed);
    for (const region of REGIONS) {
      const { fall } = await gradeFrame(path, { region });
      const reading = spotReading(light, parseRegion(region));
      expect(Math.abs((reading?.stops ?? Number.NaN) - (fall?.stops ?? 0)), region).toBeLessThan(
        AGREEMENT_STOPS,
      );
      expect(reading?.bound, region).toBe(fall?.bound);
    }
  });

  test("a scene claim on a picture is read in the same stops as its row", async () => {
    const path = resolve(HARBOUR, "04-slate-slip-by-hand.jpg");
    const views: FrameView[] = [];
    const look = async (seen: Parameters<typeof frameView>[0]): Promise<void> => {
      views.push(await frameView(seen, { picture: 64, proxy: 320 }));
    };
    const brief = { region: "circle:0.3,0.2,0.1", basis: "scene" } as const;
    const { fall } = await gradeFrame(path, brief, { look });
    const packed = views[0]?.proxy;
    if (!packed) throw new Error("the frame was not seen");
    const reading = spotReading(await frameLight(packed), parseRegion(brief.region));
    expect(Math.abs((reading?.stops ?? Number.NaN) - (fall?.stops ?? 0))).toBeLessThan(
      AGREEMENT_STOPS,
    );
  });

  test.each([
    ["curve", [-9, -5, -2.2, 0, 1.4, 2.2]],
    ["middle-grey", null],
  ] as const)(
    "graded through a kit's %s falls where the command says, and is drawn as it was",
    async (used, stops) => {
      const path = resolve(HARBOUR, "09-bracket-middle.jpg");
      const codes = [1, 20, 60, 117.6, 190, 255];
      const kit: NamedKit = {
        file: "kit.yaml",
        kit: {
          schemaVersion: 1,
          camera: { make: "Tonefall", model: "Harbour model camera" },
          style: {},
          iso: null,
          middleGrey: { rendered: { code: 110, stops: -0.21, uncertainty: 0.1 }, sensor: null },
          curve: stops && {
            luminance: codes.map((code, i) => ({ code, stops: stops[i] as number })),
          },
          uncertainty: stops && 0.05,
          measured: { how: ["card"], frames: 1, on: null },
        },
      };
      const views: FrameView[] = [];
      const look = async (seen: Parameters<typeof frameView>[0]): Promise<void> => {
        views.push(await frameView(seen, { picture: 64, proxy: 320 }));
      };
      const row = await gradeFrame(path, {}, { kits: [kit], look });
      expect(row.kit?.used).toBe(used);
      const packed = views[0]?.proxy;
      if (!packed) throw new Error("the frame was not seen");
      const light = await frameLight(packed);
      for (const region of REGIONS) {
        const { fall } = await gradeFrame(path, { region }, { kits: [kit] });
        const reading = spotReading(light, parseRegion(region));
        expect(Math.abs((reading?.stops ?? Number.NaN) - (fall?.stops ?? 0)), region).toBeLessThan(
          AGREEMENT_STOPS,
        );
      }
      expect(packed.kitCurve === null).toBe(stops === null);
      // Neutral light behind a code is encoded as that code again.
      packed.kitCurve?.forEach((lights, code) => {
        if (code > 0) expect(lights).toBeGreaterThan(packed.kitCurve?.[code - 1] as number);
      });
    },
  );

  test("lightOfCode(lightCode(light)) is light within half a step; none stays none", () => {
    for (let stops = -19.9; stops < 3; stops += 0.173) {
      const light = 2 ** stops;
      expect(Math.abs(Math.log2(lightOfCode(lightCode(light)) / light))).toBeLessThanOrEqual(
        1 / 128 + 1e-9,
      );
    }
    expect([0, -0.1, Number.NaN, 2 ** -21].map((light) => lightOfCode(lightCode(light)))).toEqual([
      0, 0, 0, 0,
    ]);
  });
});
