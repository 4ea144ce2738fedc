import {
  adviseNext,
  type CauseCode,
  type Feedback,
  feedbackFor,
  type Voice,
} from "@tonefall/grader";
import { beforeAll, describe, expect, test } from "vitest";
import {
  PLANTED,
  type PlantedName,
  randomWorld,
} from "../packages/grader/bench/simulation/plantedCauses.ts";
import { seededRandom } from "../packages/grader/bench/simulation/random.ts";
import { blankRecord, takeAndGrade } from "../packages/grader/bench/simulation/simulatedCamera.ts";
import { findCauses } from "../packages/grader/src/judge/cause/findCauses.ts";
import {
  ACTIONS,
  CHECK_AGAIN,
  INTENT,
  MISSED,
  NOT_METERED,
  RENDERING_EXPLAINS,
} from "../packages/grader/src/judge/feedback/templates.ts";
import type { Cause } from "../packages/grader/src/model/cause.ts";
import { VOICES } from "../packages/grader/src/model/feedback.ts";
import type { FrameResult } from "../packages/grader/src/model/result.ts";

const MOST_WORDS = 45;
const BANNED =
  /\b(wrong(ly)?|bad(ly)?|fail(ed|ure|s)?|mistakes?|poor|fault|left|best|worst|rank\w*)\b|!/i;
/** "right" may be said of a way to go, as in "the right way", never of a side. */
const SIDES = /\b(to|turn|dial|towards) the (left|right)\b/i;
/** One number: whole stops with or without thirds or a half, or those alone. */
const NUMBER = /\d+(?: (?:[12]\/3|1\/2))?(?:\/[23])?|\d+/g;
const SIZE = /\b(?:(?:less than|at least) )?(?:\d+ )?(?:[12]\/3|1\/2|\d+) stops?\b/;
const ACTION_DIRECTION =
  /towards [+-]|\b(less|more) (light|flash)\b|\b(reduce|increase) the exposure\b/;

function words(text: string): number {
  return text.split(/\s+/).filter(Boolean).length;
}

/** Holds one text about a miss to the rules of wording. */
function expectGoodWording(text: string, side: 1 | -1): void {
  expect(words(text), text).toBeLessThanOrEqual(MOST_WORDS);
  expect(text).not.toMatch(BANNED);
  expect(text).not.toMatch(SIDES);
  expect(text).not.toMatch(/[{}]|undefined|NaN|null/);
  // No decimals in prose, and one number.
  expect(text).not.toMatch(/\d\.\d/);
  expect(text.match(NUMBER), text).toHaveLength(1);
  const size = text.search(SIZE);
  expect(size, text).toBeGreaterThan(0);
  // Direction in words, then size: of what happened, and of what to do.
  expect(text.slice(0, size), text).toMatch(side > 0 ? /lighter/ : /darker/);
  expect(text.slice(0, size), text).toMatch(ACTION_DIRECTION);
  expect(text).not.toMatch(
    side > 0
      ? /darker|towards \+|more (light|flash)|increase/
      : /lighter|towards -|less (light|flash)|reduce/,
  );
}

let missed: FrameResult[] = [];
beforeAll(async () => {
  const blank = await blankRecord();
  const random = seededRandom(11);
  const names = Object.keys(PLANTED) as PlantedName[];
  missed = [];
  while (missed.length < 400) {
    const shots = PLANTED[random.pick(names)](randomWorld(random));
    const row = shots?.map((shot) => takeAndGrade(shot, blank)).at(-1);
    if (row?.verdict === "over" || row?.verdict === "under") missed.push(row);
  }
}, 60_000);

const causeNamed = (code: CauseCode): Cause => ({
  code,
  strength: "strong",
  evidence: [{ code: "miss", message: "The tone missed its placement by +1.00.", stops: 1 }],
});

const sideOf = ({ verdict }: FrameResult): 1 | -1 => (verdict === "over" ? 1 : -1);

describe.each(VOICES)("spoken to a %s", (voice) => {
  test.each(Object.keys(MISSED) as CauseCode[])(
    "%s keeps to the wording, whichever way it missed and whoever set the exposure",
    (code) => {
      const sizes = [0.1, 1 / 3, 1, 1.68, 2.34, 4];
      // Only who chose the exposure may have meant it; the words leave room for that there, and nowhere else.
      const chosen = ["compensated-wrong-way", "compensated-too-far", "needle-off-centre"];
      for (const row of missed.slice(0, 60)) {
        for (const size of sizes) {
          for (const bound of [null, "at least"] as const) {
            const stops = sideOf(row) * size;
            const error = row.error && { ...row.error, stops, median: stops, bound };
            const told = feedbackFor({ ...row, error }, [causeNamed(code)], voice) as Feedback;
            expectGoodWording(told.text, sideOf(row));
            expect(told.causes).toEqual([code]);
            expect(told.text.includes("Intended?"), told.text).toBe(chosen.includes(code));
          }
        }
      }
    },
  );

  test("many rows with the causes found for them keep to it too", () => {
    for (const row of missed) {
      const told = feedbackFor(row, findCauses(row), voice) as Feedback;
      if (adviseNext(row)?.stops === null) {
        expect(words(told.text), told.text).toBeLessThanOrEqual(MOST_WORDS);
        expect(told.text).toMatch(
          sideOf(row) > 0 ? /far too light to tell/ : /far too dark to tell/,
        );
        expect(told.text).not.toMatch(/\d/);
      } else {
        expectGoodWording(told.text, sideOf(row));
      }
      expect(told.causes.length).toBeGreaterThan(0);
      expect(told.causes.length).toBeLessThanOrEqual(2);
    }
  });

  test("settings that are not the meter's may have met the end of their range, where the camera set them", () => {
    const told = (mode: "auto" | "manual"): string => {
      const row = missed.find(({ split }) => split !== null) as FrameResult;
      const split = row.split && { ...row.split, mode };
      return (
        feedbackFor({ ...row, split }, [causeNamed("settings-changed-after-metering")], voice)
          ?.text ?? ""
      );
    };
    expect(told("auto")).toMatch(/locked.*end of its range/);
    expect(told("manual")).not.toMatch(/locked|range/);
  });

  test("a row that held and one that cannot be decided have their own words", () => {
    for (const verdict of ["within", "undecided"] as const) {
      const row = { ...(missed[0] as FrameResult), verdict };
      const told = feedbackFor(row, [], voice);
      // It speaks of the placement, and of no way that it was missed or could be changed.
      expect(told?.text).toMatch(/\bplace(d|ment)\b/);
      expect(told?.text).not.toMatch(/lighter|darker|towards|\b(less|more) light\b/);
      expect(/cannot/i.test(told?.text ?? "")).toBe(verdict === "undecided");
      expect(words(told?.text ?? "")).toBeLessThanOrEqual(MOST_WORDS);
      expect(told?.text).not.toMatch(BANNED);
      expect(told?.text).not.toMatch(/\d/);
      expect([told?.causes, told?.strength]).toEqual([[], null]);
    }
  });
});

test("without a verdict there is nothing to say", () => {
  const row = { ...(missed[0] as FrameResult), verdict: null };
  expect(feedbackFor(row, [], "student")).toBeNull();
});

test("every slot of every template is one that is filled", () => {
  const slots = new Set(["act", "lighter", "less", "reduce", "towards", "size"]);
  const texts = [
    ...Object.values(ACTIONS),
    CHECK_AGAIN,
    INTENT,
    ...Object.values(RENDERING_EXPLAINS),
    ...Object.values(NOT_METERED),
    ...Object.values(MISSED).flatMap((voices) => Object.values(voices)),
  ];
  for (const text of texts) {
    for (const [, slot] of text.matchAll(/\{(\w+)\}/g)) expect(slots).toContain(slot);
  }
});

describe("the number", () => {
  const sizeOf = (stops: number, voice: Voice = "student"): string | undefined => {
    const over = missed.find(({ verdict }) => verdict === "over") as FrameResult;
    const error = over.error && { ...over.error, stops, median: stops, bound: null };
    // Stops of light: there the advice is the miss.
    const row: FrameResult = { ...over, basis: "settings", error };
    return SIZE.exec(feedbackFor(row, [], voice)?.text ?? "")?.[0];
  };
  test.each([
    [0.4, "1/3 stop"],
    [0.62, "2/3 stop"],
    [1.02, "1 stop"],
    [1.7, "1 2/3 stops"],
    [2.3, "2 1/3 stops"],
    [0.1, "1/3 stop"],
  ])("%f is spoken as %s", (stops, spoken) => {
    expect(sizeOf(stops)).toBe(spoken);
  });
});

describe("cautions stand beside the words", () => {
  const withoutFlash = (): FrameResult =>
    missed.find(({ exposure }) => exposure?.flashFired.value !== true) as FrameResult;
  const told = (place: string, code: CauseCode): readonly string[] => {
    const row = withoutFlash();
    const placement = row.placement && { ...row.placement, text: place };
    return feedbackFor({ ...row, placement }, [causeNamed(code)], "student")?.cautions ?? [];
  };

  test("of the sun, where the brief names snow or sky, and not where the light changed in a dark room", () => {
    expect(told("tar", "light-changed")).toEqual([]);
    for (const place of ["snow", "snow-in-sun", "north-sky", "clear-sky"]) {
      expect(told(place, "not-known").join(), place).toMatch(/certified solar filter/);
    }
  });

  test("of the sun, where the settings suit sand in full sun", () => {
    const lit = (givenExposure: number): readonly string[] =>
      feedbackFor(
        { ...withoutFlash(), placement: null, givenExposure },
        [causeNamed("not-known")],
        "student",
      )?.cautions ?? [];
    expect(lit(-16).join()).toMatch(/Never look at the sun/);
    expect(lit(-12)).toEqual([]);
  });

  test("of flash, where it fired", () => {
    expect(told("tar", "flash-fired").join()).toMatch(/ask first.*infants.*epilepsy/);
  });

  test("of place, where the brief names one", () => {
    expect(told("beach", "not-known").join()).toMatch(/tracks/);
  });

  test("and of nothing where nothing is touched", () => {
    expect(told("tar", "followed-meter-on-dark")).toEqual([]);
  });
});
