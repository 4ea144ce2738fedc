import { describe, expect, test } from "vitest";
import { checkClassText } from "./readClass.ts";

const GOOD = `class: Evening
students: [s01, s02]
hand-ins: "{student}/{exercise}"
exercises:
  week1:
    due: 2025-06-11 20:00
    tasks:
      tar: { place: tar, region: spot }
`;

function problems(text: string): readonly string[] {
  return checkClassText(text, "term/class.yaml").problems.map(({ message }) => message);
}

describe("a class file", () => {
  test("is read with the usual levels, one frame a task, by order", () => {
    const { ready } = checkClassText(GOOD, "term/class.yaml");
    expect(ready).toMatchObject({
      folder: "term",
      name: "Evening",
      students: [
        { code: "s01", known: "s01" },
        { code: "s02", known: "s02" },
      ],
      levels: [
        { name: "placed", limit: "tolerance" },
        { name: "nearly", limit: 1 },
        { name: "not yet", limit: "any" },
      ],
    });
    expect(ready?.exercises[0]?.tasks).toEqual([
      {
        id: "tar",
        title: null,
        brief: { place: "tar", region: "spot" },
        frames: 1,
        files: null,
        by: "order",
      },
    ]);
  });

  test("reports everything that is wrong, each with its line and column", () => {
    const text = GOOD.replace("[s01, s02]", "[s01, s02, S01]")
      .replace("2025-06-11 20:00", "11.6.2025")
      .replace("place: tar, region: spot", "place: tarr, region: centre");
    expect(problems(text)).toEqual([
      expect.stringMatching(/^term\/class\.yaml:2:\d+: the code "S01" appears twice/),
      expect.stringMatching(/^term\/class\.yaml:6:\d+: Expected a date such as 2025-06-14/),
      expect.stringMatching(/^term\/class\.yaml:8:\d+: .*tarr/),
      expect.stringMatching(/^term\/class\.yaml:8:\d+: .*centre.*\n?.*Write: .*region: spot/s),
    ]);
  });

  test.each([
    ["an unknown key", "due:", "deu:", /"deu" is not a key .*did you mean "due"\?/],
    ["a code of digits alone", "[s01, s02]", "[s01, 2]", /"students\.1" holds 2, .*in quotes/],
    ["no students", "[s01, s02]", "{}", /no students/],
    ["an empty list of students", "[s01, s02]", "[]", /no students/],
    ["a code with a slash", "[s01, s02]", '["a/b"]', /cannot be a code/],
    [
      "a pattern without a student",
      "{student}/{exercise}",
      "{exercise}",
      /does not name \{student\}/,
    ],
    [
      "a pattern with an unknown part",
      "{student}/{exercise}",
      "{student}/{week}",
      /"\{week\}" stands for nothing/,
    ],
    [
      "a pattern that leaves the folder",
      "{student}/{exercise}",
      "../{student}",
      /leaves the folder/,
    ],
    [
      "a pattern with a backslash",
      '"{student}/{exercise}"',
      "'{student}\\{exercise}'",
      /forward slashes/,
    ],
    ["a day that is none", "2025-06-11 20:00", "2025-02-30", /Expected a date/],
    ["files and order at once", "place: tar", 'files: "*tar*", by: order', /leave out "by"/],
    ["no frames", "place: tar", "frames: 0", /1 to 100|>=1/],
  ])("%s is refused", (_, from, to, says) => {
    const said = problems(GOOD.replace(from, to));
    expect(said.length).toBeGreaterThan(0);
    expect(said[0]).toMatch(says);
  });

  test.each([
    ["{ placed: tolerance, nearly: 1 }", /the last level needs "any"/],
    ["{ nearly: 1, placed: 1/3, rest: any }", /"placed" is out of order/],
    ["{ a: 1, b: tolerance, c: any }", /"b" is out of order/],
    ["{ a: far, c: any }", /far/],
    ["{ a: -1, c: any }", /above 0/],
  ])("levels %s are refused", (levels, says) => {
    expect(problems(`${GOOD}levels: ${levels}\n`)[0]).toMatch(says);
  });

  test("levels may have other names and limits", () => {
    const { ready } = checkClassText(`${GOOD}levels: { A: 1/4, B: 1/2, C: any }\n`, "class.yaml");
    expect(ready?.levels).toEqual([
      { name: "A", limit: 0.25 },
      { name: "B", limit: 0.5 },
      { name: "C", limit: "any" },
    ]);
  });

  test("two students cannot share a folder, nor two exercises a name", () => {
    const shared = GOOD.replace("[s01, s02]", "{ s01: Anna, s02: ANNA }");
    expect(problems(shared)[0]).toMatch(/"ANNA" stands for two students/);
    const again = `${GOOD}  week2:\n    folder: Week1\n    tasks:\n      moss: { place: 0 }\n`;
    expect(problems(again)[0]).toMatch(/"Week1" stands for two exercises/);
  });

  test("without {exercise}, files of several exercises cannot be told apart by order", () => {
    const text = `${GOOD.replace("{student}/{exercise}", "{student}")}  week2:
    tasks:
      moss: { place: 0 }
`;
    expect(problems(text)[0]).toMatch(/does not name \{exercise\}/);
    const globs = text
      .replace("moss: {", 'moss: { files: "*moss*",')
      .replace("tar: {", 'tar: { files: "*tar*",');
    expect(problems(globs)).toEqual([]);
  });
});
