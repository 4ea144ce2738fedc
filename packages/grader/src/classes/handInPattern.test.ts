import { describe, expect, test } from "vitest";
import { handInPattern } from "./handInPattern.ts";

const STUDENTS = ["s1", "s10", "s2", "Zoë B", "Seán O'Hara"];

function found(pattern: string, path: string, exercise = "week1"): unknown {
  const match = handInPattern(pattern, STUDENTS, exercise).match(path);
  return match && [match.student, match.within];
}

describe("a pattern of hand-ins", () => {
  test.each([
    ["{student}/{exercise}", "s1/week1/a.jpg", ["s1", "a.jpg"]],
    ["{student}/{exercise}", "s1/week1/more/deep er/a.jpg", ["s1", "more/deep er/a.jpg"]],
    ["{exercise}/{student}", "week1/s10/a.jpg", ["s10", "a.jpg"]],
    ["{exercise}/{student}*", "week1/s10-tar.jpg", ["s10", "s10-tar.jpg"]],
    ["{exercise}/{student}-*", "week1/s1-s2.jpg", ["s1", "s1-s2.jpg"]],
    ["{student}*{exercise}*", "s2_week1_tar (1).jpg", ["s2", "s2_week1_tar (1).jpg"]],
    ["*{exercise}*{student}*", "downloads week1 s2.jpg", ["s2", "downloads week1 s2.jpg"]],
    ["{student}", "s2/a.jpg", ["s2", "a.jpg"]],
    ["in/{student}/**/{exercise}", "in/s2/x/y/week1/a.jpg", ["s2", "a.jpg"]],
    ["**/{student}", "class/2025/s2/a.jpg", ["s2", "a.jpg"]],
    ["**/{student}", "s2/a.jpg", ["s2", "a.jpg"]],
    ["{student}/{exercise}", "S1/WEEK1/a.jpg", ["S1", "a.jpg"]],
    ["{student}/{exercise}", "Zoe\u0308 B/week1/a.jpg".normalize("NFC"), ["Zoë B", "a.jpg"]],
    ["{student}/{exercise}", "Zoe\u0308 B/week1/a.jpg", ["Zoë B", "a.jpg"]],
    ["{student}/{exercise}", "ZOE B/week1/a.jpg", ["Zoë B", "a.jpg"]],
    ["{exercise}/{student}*", "week1/Zoe B - 1.jpg", ["Zoë B", "Zoe B - 1.jpg"]],
    ["{student}/{exercise}", "Sean O’Hara/week1/a.jpg", ["Seán O'Hara", "a.jpg"]],
  ])("%s finds whose %s is", (pattern, path, expected) => {
    expect(found(pattern, path)).toEqual(expected);
  });

  test.each([
    ["{student}/{exercise}", "s3/week1/a.jpg", "another student"],
    ["{student}/{exercise}", "s1/week10/a.jpg", "another exercise"],
    ["{student}/{exercise}", "s100/week1/a.jpg", "a longer code"],
    ["{student}/{exercise}", "x/s1/week1/a.jpg", "a folder above"],
    ["{exercise}/{student}*", "week1/as1.jpg", "a code within a word"],
    ["{exercise}/{student}*", "week1/s11.jpg", "a code before a digit"],
  ])("%s does not match %s: %s", (pattern, path) => {
    expect(found(pattern, path)).toBeNull();
  });

  test("takes no accents off where two students would become one", () => {
    const { match } = handInPattern("{student}", ["Zoë B", "Zoé B"], "week1");
    expect(match("Zoe B/a.jpg")).toBeNull();
    expect(match("Zoé B/a.jpg")?.student).toBe("Zoé B");
  });

  test("an exercise's name may hold anything", () => {
    expect(found("{student}/{exercise}", "s1/(Übung) 1+/a.jpg", "(Übung) 1+")).toEqual([
      "s1",
      "a.jpg",
    ]);
  });

  test("tells who stands where no known student does", () => {
    const { anybody } = handInPattern("{student}/{exercise}", STUDENTS, "week1");
    expect(anybody("s77/week1/a.jpg")).toBe("s77");
    expect(anybody("s77/other/a.jpg")).toBeNull();
  });

  test("a long path with many stars is answered at once", () => {
    const { match } = handInPattern("*a*a*a*a*a*a*{student}*a*{exercise}", STUDENTS, "week1");
    expect(match(`${"a".repeat(300)}/x`)).toBeNull();
  });
});
