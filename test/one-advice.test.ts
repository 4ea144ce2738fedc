import { inflateSync } from "node:zlib";
import { adviseNext, type FrameResult, feedbackFor, findCauses, splitMiss } from "@tonefall/grader";
import { beforeAll, describe, expect, test } from "vitest";
import { PLANTED, randomWorld } from "../packages/grader/bench/simulation/plantedCauses.ts";
import { seededRandom } from "../packages/grader/bench/simulation/random.ts";
import { blankRecord, takeAndGrade } from "../packages/grader/bench/simulation/simulatedCamera.ts";
import { judge } from "../packages/grader/src/judge/grade/judge.ts";
import { decidedError } from "../packages/grader/src/model/decidedError.ts";
import { card } from "../packages/grader/src/output/page/card.ts";
import { whyAndNext } from "../packages/grader/src/output/page/frameData.ts";
import { gradeCsv } from "../packages/grader/src/output/text/gradeCsv.ts";
import { gradeMarkdown } from "../packages/grader/src/output/text/gradeMarkdown.ts";
import { gradeTable } from "../packages/grader/src/output/text/gradeTable.ts";
import { meterTable } from "../packages/grader/src/output/text/meterTable.ts";
import type { RowWriter } from "../packages/grader/src/output/text/rowWriter.ts";

/** A fall against a placement of 0, and what every output has to say of it. */
interface Case {
  readonly name: string;
  readonly mean: number;
  readonly median: number;
  readonly bound: "at least" | "at most" | null;
  /** Share of the region beyond the end of the scale. */
  readonly censored: number;
  readonly verdict: FrameResult["verdict"];
  /** The error as tables print it. */
  readonly error: string;
  /** Size of the advice in words; null where there is none to tell. */
  readonly size: string | null;
}

const CASES: readonly Case[] = [
  ["lighter", 1.68, 1.68, null, 0, "over", "+1.68 ± 0.05", "1 2/3 stops"],
  ["darker", -1.68, -1.68, null, 0, "under", "-1.68 ± 0.05", "1 2/3 stops"],
  [
    "lighter, the mean a bound",
    1.68,
    2,
    "at least",
    0.3,
    "over",
    "≥ +1.68 ± 0.05",
    "at least 1 2/3 stops",
  ],
  [
    "lighter, mostly clipped",
    1.68,
    2,
    "at least",
    0.7,
    "over",
    "≥ +1.68 ± 0.05",
    "at least 1 2/3 stops",
  ],
  [
    "lighter, by the median",
    0.3,
    1.4,
    "at least",
    0.3,
    "over",
    "+1.40 ± 0.05 (median)",
    "1 1/3 stops",
  ],
  [
    "darker, by the median beside clipping",
    -0.93,
    -1.35,
    "at least",
    0.05,
    "under",
    "-1.35 ± 0.05 (median)",
    "1 1/3 stops",
  ],
  [
    "darker, the mean a bound",
    -1.68,
    -2,
    "at most",
    0.6,
    "under",
    "≤ -1.68 ± 0.05",
    "at least 1 2/3 stops",
  ],
  [
    "darker, by the median beside black",
    -0.3,
    -1.4,
    "at most",
    0.4,
    "under",
    "-1.40 ± 0.05 (median)",
    "1 1/3 stops",
  ],
  [
    "lighter, by the median beside black",
    0.93,
    1.35,
    "at most",
    0.4,
    "over",
    "+1.35 ± 0.05 (median)",
    "1 1/3 stops",
  ],
  [
    "a bound that is lighter and a median that is darker",
    0.26,
    -0.8,
    "at least",
    0.2,
    "undecided",
    "≥ +0.26 ± 0.05",
    null,
  ],
  ["the same, far lighter", 2, -0.8, "at least", 0.2, "undecided", "≥ +2.00 ± 0.05", null],
  [
    "a bound that is darker and a median that is lighter",
    -0.26,
    0.8,
    "at most",
    0.4,
    "undecided",
    "≤ -0.26 ± 0.05",
    null,
  ],
  ["far too dark", -5.2, -5.2, null, 0, "under", "-5.20 ± 0.05", null],
  ["far too light", 4.4, 5, "at least", 0.9, "over", "≥ +4.40 ± 0.05", null],
].map(([name, mean, median, bound, censored, verdict, error, size]) => {
  return { name, mean, median, bound, censored, verdict, error, size } as Case;
});

/** Rows of thirds and of halves, whose camera set the exposure. */
let frame: FrameResult;

beforeAll(async () => {
  const blank = await blankRecord();
  const random = seededRandom(5);
  for (;;) {
    const shot = PLANTED["followed-meter-on-light"](randomWorld(random))?.at(-1);
    const row = shot && takeAndGrade(shot, blank);
    if (row?.split?.mode === "auto" && row.split.compensationStops === 0) {
      frame = row;
      return;
    }
  }
});

function rowOf(
  { mean, median, bound, censored }: Case,
  basis: "rendered" | "scene" | "settings",
): FrameResult {
  const uncertainty = { total: 0.05, parts: { measuring: 0.05 } };
  const fall = { stops: mean, median, p5: mean, p95: mean, bound };
  const placement = { from: 0, to: 0, text: "0" };
  const { error, verdict } = judge(fall, placement, 1 / 3, uncertainty, censored);
  const { exposure } = frame;
  if (!exposure) throw new Error("a simulated frame has a record");
  const row: FrameResult = {
    ...frame,
    basis,
    placement,
    tolerance: 1 / 3,
    fall: { ...fall, uncertainty: uncertainty.total, uncertaintyParts: uncertainty.parts },
    error,
    verdict,
    split: splitMiss({ exposure, reading: null, error: decidedError(error) }),
  };
  const causes = findCauses(row);
  return { ...row, causes, next: adviseNext(row), feedback: feedbackFor(row, causes, "student") };
}

const plain = (text: string): string => text;
const PAINT = { over: plain, under: plain, faint: plain, strong: plain };

/** A form of one row as a line of text, tags and wrapping left out. */
function written<Row>(writer: RowWriter<Row>, row: Row): string {
  return `${writer.head}${writer.row(row)}${writer.end()}`.replace(/\s+/g, " ");
}

/** What a card shows, with what is folded, without tags, its minus signs as the other outputs have them. */
function shownText(markup: string): string {
  return markup
    .replace(/<script[^>]* class="packed">([^<]*)<\/script>/g, (_, packed) =>
      inflateSync(Buffer.from(packed, "base64")).toString(),
    )
    .replace(/<script[^>]* class="frame-data"[^>]*>[^<]*<\/script>/g, "")
    .replace(/<[^>]*>/g, " ")
    .replaceAll("−", "-")
    .replace(/\s+/g, " ");
}

function outputsOf(
  row: FrameResult,
): Readonly<Record<"table" | "csv" | "markdown" | "card" | "meter", string>> {
  const page = { number: 1, id: "f1", name: "a.jpg", folder: "", row, thumbnail: null };
  return {
    table: [null, "student" as const]
      .map((voice) => written(gradeTable({ width: 400, paint: PAINT, voice }), row))
      .join(" "),
    csv: written(gradeCsv({ spoken: true, columns: ["all"] }), row),
    markdown: written(gradeMarkdown({ spoken: true }), row),
    card: shownText(card(page, null).text),
    meter: written(meterTable({ width: 400, heading: plain }), {
      ...row,
      readings: row.readings ?? [],
      light: null,
    }),
  };
}

describe.each(["rendered", "scene", "settings"] as const)("on the %s basis", (basis) => {
  test.each(CASES)("$name: every output has one side, one figure, one advice", (one) => {
    const row = rowOf(one, basis);
    const { table, csv, markdown, card: page, meter } = outputsOf(row);
    expect(row.verdict).toBe(one.verdict);

    for (const text of [table, markdown, page]) expect(text).toContain(one.error);
    expect(meter).toContain(one.error.replace(/ ± 0.05/, ""));
    const [figure] = /[+-]\d\.\d\d/.exec(one.error) ?? [];
    expect(csv).toContain(String(Number(figure)));

    const side = { over: "lighter", under: "darker" }[row.verdict as string];
    const other = side === "lighter" ? "darker" : "lighter";
    const said = row.feedback?.text ?? "";
    for (const text of [table, csv, markdown]) expect(text).toContain(said);
    const { why, next } = whyAndNext(said);
    for (const part of [why, next]) expect(page).toContain(shownText(part ?? "missing"));
    if (side === undefined) {
      expect(row.next).toBeNull();
      expect(`${said} ${page}`).not.toMatch(/(more|less) light|than placed/);
      return;
    }
    expect(`${said} ${page}`).not.toContain(side === "lighter" ? "more light" : "less light");
    expect(said).not.toContain(other);
    expect(`${said} ${page}`).not.toContain("at most");

    if (one.size === null) {
      expect(row.next).toMatchObject({ stops: null, reason: "too-far-to-tell", ways: [] });
      for (const text of [said, page]) {
        expect(text).toMatch(
          new RegExp(`far too ${side === "lighter" ? "light" : "dark"} to tell`, "i"),
        );
        expect(text).toMatch(/Start again from a meter reading/);
        expect(text).not.toMatch(/(more|less) light/);
      }
      expect(meter).toContain("meter again");
      return;
    }
    expect(Math.sign(row.next?.stops as number)).toBe(side === "lighter" ? -1 : 1);
    const turned = { "at least": "at most", "at most": "at least" };
    const bound = one.error.startsWith("≥")
      ? "at least"
      : one.error.startsWith("≤")
        ? "at most"
        : null;
    expect(row.next?.bound).toBe(bound && turned[bound]);
    expect(said).toContain(one.size);
    expect(page.toLowerCase()).toContain(
      `${one.size} too ${side === "lighter" ? "light" : "dark"}`,
    );
    if (bound === null) expect(`${said} ${page}`).not.toContain("at least");
    const mark = bound === null ? "" : bound === "at least" ? "≤ " : "≥ ";
    const wanted = (-Number(figure)).toFixed(2).replace(/^(?=\d)/, "+");
    expect(meter).toContain(`${mark}${wanted}`);
  });
});

test("a camera of half stops is spoken to in halves, everywhere", () => {
  const one = CASES[0] as Case;
  const exposure = frame.exposure && {
    ...frame.exposure,
    aperture: { value: 8, from: "test" },
    shutter: { value: 1 / 90, from: "test" },
    iso: { value: 100, from: "test" },
  };
  const whole = rowOf({ ...one, mean: 1.4, median: 1.4 }, "rendered");
  const row = { ...whole, exposure };
  const next = adviseNext(row);
  const said = feedbackFor(row, row.causes, "student");
  expect(next).toMatchObject({ step: "half", stops: -1.5 });
  expect(said?.text).toContain("1 1/2 stops");
  expect(outputsOf({ ...row, next, feedback: said }).card).toContain("1 1/2 stops too light");
});

test("the compensation that a cause names is the one that is advised, whatever the curve", async () => {
  const blank = await blankRecord();
  const random = seededRandom(11);
  const pairs: (readonly [named: string, advised: string])[] = [];
  for (let tries = 0; tries < 400 && pairs.length < 40; tries++) {
    for (const plant of ["compensated-too-little", "compensated-too-far"] as const) {
      const shot = PLANTED[plant](randomWorld(random))?.at(-1);
      const row = shot && takeAndGrade(shot, blank);
      const named = row
        ? findCauses(row)[0]?.evidence.find(({ code }) => code === "compensation-wanted")
        : undefined;
      const advised = row && named && adviseNext(row)?.compensation;
      if (named?.stops == null || advised == null) continue;
      pairs.push([named.stops.toFixed(6), advised.toFixed(6)]);
    }
  }
  expect(pairs.length).toBeGreaterThanOrEqual(40);
  for (const [named, advised] of pairs) expect(named).toBe(advised);
});
