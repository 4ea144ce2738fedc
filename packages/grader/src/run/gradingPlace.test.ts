import { describe, expect, test } from "vitest";
import { GradingPlace } from "./gradingPlace.ts";

/**
 * The places of a run's frames, one after another, where each takes what it takes here or apart.
 *
 * @returns a letter for each frame: h here, a apart
 */
function placesOf(
  frames: number,
  { jobs = 2, here = 100, apart = 75, startMilliseconds = 200, first = 100 },
): string {
  const place = new GradingPlace({ frames, bytes: 0, jobs, startMilliseconds });
  const places = Array.from({ length: frames }, (_, index) => {
    const isApart = place.isApart(index);
    place.took(isApart ? apart : index < jobs ? first : here, isApart);
    return isApart ? "a" : "h";
  });
  return places.join("");
}

describe("where a run's frames are graded", () => {
  test("a few stay here: what is left gains less than processes take to start", () => {
    expect(placesOf(4, {})).toBe("hhhh");
    // 0.25 x 50 ms x 16 frames is what the start takes, and no more.
    expect(placesOf(19, {})).toBe("h".repeat(19));
  });

  test("many go to processes once a frame beyond the first has been timed", () => {
    expect(placesOf(40, {})).toBe(`hhh${"a".repeat(37)}`);
  });

  test("the first frames, which load code, do not count", () => {
    expect(placesOf(10, { here: 10, first: 5000 })).toBe("h".repeat(10));
  });

  test("slow frames go sooner than quick ones, and sooner where processes start quickly", () => {
    expect(placesOf(10, { here: 1000 })).toContain("a");
    expect(placesOf(10, {})).not.toContain("a");
    expect(placesOf(10, { startMilliseconds: 20 })).toContain("a");
  });

  test("frames come back from processes that are slower, and stay", () => {
    expect(placesOf(100, { apart: 150 })).toBe(`hhhaaaa${"h".repeat(93)}`);
  });

  test("what a process takes to start for its first frame is no reason to come back", () => {
    const place = new GradingPlace({ frames: 100, bytes: 0, jobs: 1, startMilliseconds: 1 });
    const takes = [100, 100, 900, 60, 60];
    for (const [index, milliseconds] of takes.entries()) {
      place.took(milliseconds, place.isApart(index));
    }
    expect(place.isApart(5)).toBe(true);
  });

  test("a run that is surely long starts with them, unless a memory holds nearly all of its frames", () => {
    const long = (): GradingPlace => new GradingPlace({ frames: 200, bytes: 1e9, jobs: 2 });
    expect(long().isApart(0)).toBe(true);
    expect(long().isApart(1)).toBe(true);
    expect(long().isApart(150)).toBe(false);
  });
});
