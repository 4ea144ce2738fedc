import { describe, expect, test } from "vitest";
import { GraderError } from "../model/errors.ts";
import { parseSet } from "./readSet.ts";

/** The message that a set file is refused with. */
function refusal(text: string): string {
  try {
    parseSet(text, "set.yaml");
  } catch (error) {
    expect(error).toBeInstanceOf(GraderError);
    expect((error as GraderError).code).toBe("bad-set");
    return (error as GraderError).message;
  }
  return "accepted";
}

const frame = (claims: string): string =>
  `set: x\nframes:\n  a:\n    file: a.jpg\n    claims:\n      - ${claims}\n`;
const relation = (text: string): string =>
  `set: x\nframes: { a: { file: a.jpg }, b: { file: b.jpg } }\nrelations:\n  - ${text}\n`;

describe("parseSet refuses with the place and one sentence", () => {
  test.each([
    [
      "a key that is not one",
      "set: x\nfraems: {}\n",
      'set.yaml:2:1: "fraems" is not a key of the file; did you mean "frames"?',
    ],
    [
      "a key of a claim",
      frame("falls: { palce: 0 }"),
      'set.yaml:6:18: "palce" is not a key of "frames.a.claims.0.falls"; did you mean "place"?',
    ],
    [
      "a key far from any",
      frame("falls: { place: 0, colour: red }"),
      "the keys are region, place, tolerance, basis",
    ],
    ["no frames", "set: x\n", '"frames"'],
    ["frames that are none", "set: x\nframes: {}\n", "the set has no frames"],
    ["a wrong type", "set: 3\nframes: {}\n", "set.yaml:1:6"],
    ["a list for frames", "set: x\nframes: []\n", "set.yaml:2:9"],
    ["nothing", "", "set.yaml: the file is empty; tonefall new-set writes a first one"],
    ["bare text", "hello", "set.yaml"],
    ["broken YAML", "set: [", "set.yaml:1:"],
    ["two claims in one", frame("{ falls: { place: 0 }, unclipped: {} }"), "exactly one of falls"],
    ["no claim in one", frame("{ why: nothing }"), "exactly one of falls"],
    ["a tone that is not on the chart", frame("falls: { place: snwo }"), 'did you mean "snow"'],
    ["a tolerance of none", frame("falls: { place: 0, tolerance: 0 }"), "set.yaml:6:39"],
    [
      "a region that is none",
      frame("falls: { place: 0, region: hul }"),
      '"hul" is not a region of this frame',
    ],
    [
      "a region outside the frame",
      frame('falls: { place: 0, region: "box:0.9,0,0.5,1" }'),
      "inside the picture",
    ],
    ["a record claim of nothing", frame("record: {}"), "at least one setting"],
    ["a time that is none", frame("record: { shutter: fast }"), '"1/125"'],
    ["a share that is none", frame("unclipped: { most: 120% }"), "expected a share"],
    [
      "a frame by two keys of one name",
      "set: x\nframes:\n  a: { file: a.jpg }\n  a: { file: b.jpg }\n",
      "set.yaml:4:",
    ],
    [
      "a file named twice",
      "set: x\nframes:\n  a: { file: a.jpg }\n  b: { file: ./a.jpg }\n",
      'frames "a" and "b" are the same file',
    ],
    [
      "an id taken twice",
      frame("{ id: one, falls: { place: 0 } }\n      - { id: one, unclipped: {} }"),
      'set.yaml:7:15: the id "one" is taken',
    ],
    [
      "an unknown kit",
      "set: x\nframes: { a: { file: a.jpg, kit: k } }\n",
      '"k" is not a kit of this set',
    ],
    [
      "an unknown frame to be like",
      "set: x\nframes: { hull: { file: a.jpg, like: hul } }\n",
      '"hul" is not a frame of this set; did you mean "hull"?',
    ],
    [
      "frames like each other",
      "set: x\nframes:\n  a: { file: a.jpg, like: b }\n  b: { file: b.jpg, like: a }\n",
      "in a circle: a, b, a",
    ],
    ["a frame like itself", "set: x\nframes: { a: { file: a.jpg, like: a } }\n", "in a circle"],
    [
      "a pin of no frame",
      `set: x\nframes: { a: { file: a.jpg } }\npins: { b: { sha256: "${"0".repeat(64)}" } }\n`,
      '"b" is not a frame',
    ],
    [
      "a hash that is none",
      "set: x\nframes: { a: { file: a.jpg } }\npins: { a: { sha256: abc } }\n",
      '"pins.a.sha256"',
    ],
    [
      "a relation to an unknown frame",
      relation("equivalent: { frames: [a, c] }"),
      '"c" is not a frame of this set',
    ],
    [
      "a relation of a frame with itself",
      relation("equivalent: { frames: [a, a] }"),
      '"a" appears in it twice',
    ],
    [
      "a relation of one frame",
      relation("equivalent: { frames: [a] }"),
      '"relations.0.equivalent.frames"',
    ],
    ["a correction of none", relation("correction: { from: a, to: b, by: 0 }"), "corrects nothing"],
    [
      "steps of none",
      relation("bracket: { frames: [a, b], steps: 0, varies: shutter }"),
      "cannot be 0",
    ],
    [
      "too few offsets",
      relation("bracket: { frames: [a, b], steps: [0, 1, 2], varies: shutter }"),
      "2 different offsets",
    ],
    [
      "a control that is none",
      relation("bracket: { frames: [a, b], steps: 1, varies: time }"),
      "varies",
    ],
    [
      "several regions and none named",
      "set: x\nframes: { a: { file: a.jpg, regions: { m: spot, n: whole }, claims: [{ falls: { place: 0 } }] } }\n",
      "several regions (m, n)",
    ],
  ])("%s", (_what, text, says) => {
    const message = refusal(text);
    expect(message).toContain(says);
    expect(message.split("\n")).toHaveLength(1);
  });

  test.each([
    "../a.jpg",
    "b/../../a.jpg",
    "/etc/a.jpg",
    "C:/a.jpg",
    "b\\\\a.jpg",
    "..",
    ".",
    "a\\u0000.jpg",
  ])("a file outside the folder: %s", (file) => {
    expect(refusal(`set: x\nframes: { a: { file: "${file}" } }\n`)).toContain(
      "within the set's folder",
    );
  });

  test("aliases of aliases, and an alias of itself", () => {
    const letters = "abcdefghij".split("");
    const bomb = letters.map((name, i) =>
      i === 0
        ? "a: &a [x,x,x,x,x,x,x,x,x]"
        : `${name}: &${name} [${`*${letters[i - 1]},`.repeat(9)}]`,
    );
    expect(refusal(bomb.join("\n"))).toContain("aliases in the file expand to too much");
    expect(refusal("set: &a\n  b: *a\nframes: {}\n")).toContain("set.yaml");
  });

  test("nesting without end", () => {
    expect(refusal("[".repeat(100_000))).toContain("set.yaml");
    expect(refusal(`${"{a: ".repeat(20_000)}1${"}".repeat(20_000)}`)).toContain("set.yaml");
  });
});

describe("parseSet", () => {
  test("resolves names, and says where each claim stands", () => {
    const { set } = parseSet(
      [
        "set: x",
        "defaults: { tolerance: 1/4, basis: rendered }",
        "frames:",
        "  a: { file: sub/a.jpg, kit: k, regions: { hull: spot } }",
        "  b:",
        "    file: b.jpg",
        "    like: a",
        "    claims:",
        "      - error: { place: -2..-1.5, lies: at least 1 }",
        "kits: { k: { model: M } }",
        "relations:",
        "  - bracket: { frames: [a, b], steps: 2/3, varies: iso }",
      ].join("\n"),
      "somewhere/set.yaml",
    );
    expect(set.folder).toBe("somewhere");
    expect(set.frames[1]).toMatchObject({
      kit: { model: "M" },
      claims: [
        {
          id: "b.error",
          at: { line: 9, column: 9 },
          tolerance: 0.25,
          lies: { from: 1, to: Number.POSITIVE_INFINITY },
          placement: { from: -2, to: -1.5 },
          ask: { frame: "b", regionName: "hull", region: "spot", basis: "rendered" },
        },
      ],
    });
    expect(set.relations[0]).toMatchObject({
      id: "bracket",
      offsets: [0, 2 / 3],
      at: { line: 12 },
    });
  });

  test("reads JSON as it is", () => {
    const { set } = parseSet('{"set":"x","frames":{"a":{"file":"a.jpg"}}}', "set.json");
    expect(set.frames.map(({ id }) => id)).toEqual(["a"]);
  });
});
