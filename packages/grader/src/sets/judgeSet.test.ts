import { SRGB } from "@tonefall/tone-core";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { stringify } from "yaml";
import type { CheckRow } from "../model/checkResult.ts";
import type { Exposure, FrameResult } from "../model/result.ts";
import { type FrameFacts, type SetFacts, toneKey } from "./frameFacts.ts";
import { judgeSet } from "./judgeSet.ts";
import { parseSet } from "./readSet.ts";
import { unitsOf } from "./units.ts";

/*
 * Sets of a simulated camera: settings and scene decide the light, the light its code, and only the code reaches the
 * judgement, as in a picture. What is true is known before rounding to codes, and never asked of the code under test.
 */

const MIDDLE_GREY = 0.18;
const WHITE_STOPS = Math.log2(1 / MIDDLE_GREY);

/** How finely a code of 8 bits tells tones apart where a code stands, stops. */
function quantum(code: number): number {
  const light = (at: number): number => SRGB.linearise(at / 255);
  return code >= 255 ? 0.02 : Math.log2(light(code + 1) / light(Math.max(code, 1)));
}

/** What the camera was set to, and where the tone truly falls under it. */
interface Shot {
  readonly aperture: number;
  readonly seconds: number;
  readonly iso: number;
  /** Stops from middle grey, before clipping and rounding. */
  readonly falls: number;
}

function factsOf(shot: Shot): FrameFacts {
  const clipped = shot.falls >= WHITE_STOPS;
  const code = clipped ? 255 : Math.round(255 * SRGB.encode(MIDDLE_GREY * 2 ** shot.falls));
  const stops = Math.log2(Math.max(SRGB.linearise(code / 255), 1e-6) / MIDDLE_GREY);
  const uncertainty = Math.max(0.05, quantum(code));
  const field = (value: unknown) => ({ value, from: "simulated" });
  const exposure = {
    aperture: field(shot.aperture),
    shutter: field(shot.seconds),
    iso: field(shot.iso),
    flashFired: field(false),
    model: field("Simulated"),
  } as unknown as Exposure;
  const row = {
    basis: "rendered",
    exposure,
    givenExposure: Math.log2(shot.seconds / shot.aperture ** 2) + Math.log2(shot.iso / 100),
    failure: null,
    tolerance: 1 / 3,
    notes: [],
    fall: { stops, median: stops, p5: stops, p95: stops, bound: clipped ? "at least" : null },
    error: {
      stops,
      median: stops,
      uncertainty,
      uncertaintyParts: { measuring: uncertainty },
      bound: null,
    },
    clipped: { share: clipped ? 1 : 0, channels: [] },
    crushed: { share: 0 },
  } as unknown as FrameResult;
  return {
    sha256: "0".repeat(64),
    failure: null,
    caseClash: null,
    read: row,
    tones: new Map([[toneKey({ region: "whole", basis: null }), row]]),
  };
}

/** Evenly from one end to the other; fast-check's own doubles crowd about 0. */
const between = (from: number, to: number) =>
  fc.integer({ min: Math.round(1e4 * from), max: Math.round(1e4 * to) }).map((n) => n / 1e4);

const thirds = (most: number) => fc.integer({ min: -3 * most, max: 3 * most }).map((n) => n / 3);

/** A shot in thirds of stops, of a scene whose tone may be anything. */
const shots = fc.record({
  aperture: fc.constantFrom(2, 2.8284271247461903, 4, 8, 11.313708498984761),
  seconds: thirds(4).map((stops) => 2 ** (stops - 7)),
  iso: fc.constantFrom(100, 200, 400, 800),
  falls: between(-4.5, 3.5),
});

/** A claim that is near the truth, so that all outcomes come up. */
const misses = between(-1.2, 1.2);

interface Case {
  readonly claim: object;
  /** How far the truth lies from what is claimed, stops; 0 where it lies there. */
  readonly off: number;
  readonly tolerance: number;
}

function outside(value: number, from: number, to: number): number {
  return value - Math.min(Math.max(value, from), to);
}

const claims = (shot: Shot) =>
  fc
    .record({
      miss: misses,
      width: between(0, 0.8),
      tolerance: fc.constantFrom(1 / 6, 1 / 4, 1 / 3, 1 / 2, 1),
      kind: fc.constantFrom("falls", "error", "at least", "at most"),
    })
    .map(({ miss, width, tolerance, kind }): Case => {
      const from = shot.falls + miss;
      const place = `${from.toFixed(4)}..${(from + width).toFixed(4)}`;
      const [low, high] = [Number(from.toFixed(4)), Number((from + width).toFixed(4))];
      if (kind === "falls") {
        return {
          claim: { falls: { place, tolerance } },
          off: outside(shot.falls, low, high),
          tolerance,
        };
      }
      if (kind === "error") {
        // An error of 1 to 2 above a placement of 0 is a fall of 1 to 2; all of it moved by the placement.
        const lies = `1..${(1 + width).toFixed(4)}`;
        const at = Number((from - 1).toFixed(4));
        return {
          claim: { error: { place: at, lies, tolerance } },
          off: outside(shot.falls, at + 1, at + Number((1 + width).toFixed(4))),
          tolerance,
        };
      }
      const end = Number(miss > 0 ? 1 : -1) * 0.8;
      const lies = `${kind} ${end}`;
      const at = Number((from - end).toFixed(4));
      const off =
        kind === "at least"
          ? outside(shot.falls, at + end, Number.POSITIVE_INFINITY)
          : outside(shot.falls, Number.NEGATIVE_INFINITY, at + end);
      return { claim: { error: { place: at, lies, tolerance } }, off, tolerance };
    });

const framed = shots.chain((shot) =>
  fc.tuple(fc.constant(shot), fc.array(claims(shot), { minLength: 1, maxLength: 4 })),
);

const judged = (document: object, facts: SetFacts): readonly CheckRow[] => {
  const { set } = parseSet(stringify(document), "set.yaml");
  return judgeSet(set, unitsOf(set), facts, []).rows;
};

describe("random sets of a simulated camera", () => {
  test("no kept claim is false beyond its tolerance, and no missed one true beyond it", () => {
    const outcomes = { kept: 0, missed: 0, undecided: 0, "not run": 0 };
    let sets = 0;
    fc.assert(
      fc.property(
        fc.array(framed, { minLength: 2, maxLength: 5 }),
        fc.constantFrom(1 / 6, 1 / 3, 1 / 2),
        (frames, tolerance) => {
          sets += 1;
          const ids = frames.map((_, i) => `frame-${i}`);
          const [first, second] = frames.map(([shot]) => shot) as [Shot, Shot];
          const given = ({ seconds, aperture, iso }: Shot): number =>
            Math.log2((seconds / aperture ** 2) * iso);
          const step = Math.round(3 * (given(second) - given(first))) / 3;
          // A correction of nothing is none; it is then claimed to be of a third, which the settings belie.
          const by = step || 1 / 3;
          const document = {
            set: "simulated",
            frames: Object.fromEntries(
              frames.map(([, cases], i) => [
                ids[i],
                { file: `${i}.jpg`, claims: cases.map(({ claim }) => claim) },
              ]),
            ),
            relations: [
              { equivalent: { frames: ids, tolerance } },
              {
                correction: {
                  from: ids[0],
                  to: ids[1],
                  by,
                },
              },
            ],
          };
          const facts = new Map(frames.map(([shot], i) => [ids[i] as string, factsOf(shot)]));
          const rows = judged(document, facts);
          const byId = (id: string): CheckRow => rows.find((row) => row.id === id) as CheckRow;
          const truths = frames.flatMap(([, cases], i) => {
            const kinds = new Map<string, number>();
            return cases.map(({ claim, off, tolerance: own }) => {
              const kind = Object.keys(claim)[0] as string;
              const n = (kinds.get(kind) ?? 0) + 1;
              kinds.set(kind, n);
              return {
                row: byId(`${ids[i]}.${kind}${n === 1 ? "" : `-${n}`}`),
                off: Math.abs(off),
                tolerance: own,
              };
            });
          });
          const falls = frames.map(([shot]) => shot.falls);
          truths.push({
            row: byId("equivalent/look"),
            off: Math.max(...falls) - Math.min(...falls),
            tolerance,
          });
          for (const { row, off, tolerance: allowed } of truths) {
            outcomes[row.outcome] += 1;
            if (row.outcome === "kept") expect(off, row.sentence).toBeLessThanOrEqual(allowed);
            if (row.outcome === "missed") expect(off, row.sentence).toBeGreaterThan(allowed);
          }
          const exposures = frames.map(([shot]) => given(shot));
          const apart = Math.max(
            ...exposures.map((exposure) => Math.abs(exposure - (exposures[0] as number))),
          );
          expect(byId("equivalent/exposure").outcome).toBe(apart < 1 / 6 ? "kept" : "missed");
          expect(byId("correction/settings").outcome).toBe(step === 0 ? "missed" : "kept");
          const direction = byId("correction/direction");
          const rises = (second.falls - first.falls) * Math.sign(by) > 0;
          if (direction.outcome === "kept") expect(rises, direction.sentence).toBe(true);
          if (direction.outcome === "missed") expect(rises, direction.sentence).toBe(false);
        },
      ),
      { numRuns: 2000, seed: 20250614 },
    );
    expect(sets).toBe(2000);
    // A judge that never commits itself would pass the above.
    const { kept, missed, undecided } = outcomes;
    expect(kept).toBeGreaterThan(1500);
    expect(missed).toBeGreaterThan(1500);
    expect(undecided).toBeLessThan((kept + missed) / 2);
  });
});
