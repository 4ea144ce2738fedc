import { readFileSync } from "node:fs";
import { rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import {
  type FrameResult,
  gradeFrame,
  meterFrame,
  SCHEMA_VERSION,
  summarise,
} from "@tonefall/grader";
import { Ajv2020 } from "ajv/dist/2020.js";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { iptcSegment } from "../packages/exif-reader/test/containerFixtures.ts";
import {
  iptcRegionsXmp,
  keywordsXmp,
  mwgRegionsXmp,
} from "../packages/exif-reader/test/marksFixture.ts";
import { flat, newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";
import type { Run } from "./runTonefall.ts";
import { taggedPicture } from "./taggedPictures.ts";

/** The left half is lighter: code 200, 1.68 stops up; the right half is code 60, 1.99 down. */
const halves = (...keywords: readonly string[]): Promise<Buffer> =>
  taggedPicture(keywordsXmp(...keywords), (x) => x < 30);

const codes = ({ notes }: FrameResult): string[] => notes.map(({ code }) => code);

describe("a picture's own keywords", () => {
  test("say what it was asked to show, and the row says so", async () => {
    const file = await halves(
      "harbour",
      "tonefall:place=+1 2/3",
      "tonefall:region=box:0,0,0.5,1",
      "tonefall:tolerance=1/4",
      "tonefall:basis=rendered",
    );
    const result = await gradeFrame(file);
    expect(result).toMatchObject({
      placement: { from: 5 / 3, to: 5 / 3, text: "+1 2/3" },
      region: "box:0,0,0.5,1",
      tolerance: 0.25,
      basis: "rendered",
      verdict: "within",
    });
    expect(result.notes).toContainEqual({
      code: "brief-from-keywords",
      message:
        "From the picture's own keywords (XMP dc:subject): placement, region, tolerance, basis.",
    });
  });

  test("give way to the brief, key by key", async () => {
    const file = await halves(
      "tonefall:place=snow",
      "tonefall:region=box:0,0,0.5,1",
      "tonefall:tolerance=3",
    );
    const result = await gradeFrame(file, { place: -2, region: "box:0.5,0,0.5,1" });
    expect(result).toMatchObject({
      placement: { from: -2 },
      region: "box:0.5,0,0.5,1",
      tolerance: 3,
      verdict: "within",
    });
    expect(result.notes.find(({ code }) => code === "brief-from-keywords")?.message).toMatch(
      /: tolerance\.$/,
    );
    const whole = await gradeFrame(file, { place: 0, region: "whole", tolerance: 1 });
    expect(whole.region).toBe("whole");
    expect(codes(whole)).not.toContain("brief-from-keywords");
  });

  test("of other kinds change nothing", async () => {
    const plain = await gradeFrame(await halves());
    expect(await gradeFrame(await halves("snow", "place=snow", "xtonefall:place=snow"))).toEqual(
      plain,
    );
  });

  test("come from the older IPTC form too", async () => {
    const jpeg = await flat(200).jpeg().toBuffer();
    const segment = iptcSegment(Buffer.from("Ada"), Buffer.from("tonefall:place=1.7"));
    const file = Buffer.concat([jpeg.subarray(0, 2), segment, jpeg.subarray(2)]);
    const result = await gradeFrame(file);
    expect(result.verdict).toBe("within");
    expect(result.notes).toContainEqual({
      code: "brief-from-keywords",
      message: "From the picture's own keywords (IPTC Keywords): placement.",
    });
    expect(JSON.stringify(result)).not.toContain("Ada");
  });

  test.each([
    ["box:0.5 0 0.5 1", "box:0.5,0,0.5,1"],
    ["circle: 0.5 0.5  0.2", "circle:0.5,0.5,0.2"],
    ["polygon:0.1 0.1 0.9 0.1 0.5 0.9", "polygon:0.1,0.1 0.9,0.1 0.5,0.9"],
    ["polygon:0.1,0.1 0.9,0.1 0.5,0.9", "polygon:0.1,0.1 0.9,0.1 0.5,0.9"],
    ["Spot", "spot"],
    ["spot:0.3 0.4", "spot:0.3,0.4"],
  ])("may part numbers by spaces: %s", async (keyword, region) => {
    const result = await gradeFrame(await halves(`tonefall:region=${keyword}`));
    expect([result.failure, result.region]).toEqual([null, region]);
  });

  test("are read whatever their case and spaces", async () => {
    const result = await gradeFrame(
      await halves(" TONEFALL: Place = Snow ", "Tonefall:REGION=spot"),
    );
    expect([result.placement?.text.toLowerCase(), result.region]).toEqual(["snow", "spot"]);
  });

  test("may ask for the settings alone; metering looks at the pixels all the same", async () => {
    const file = await halves("tonefall:basis=settings", "tonefall:place=0");
    expect(await gradeFrame(file)).toMatchObject({ basis: "settings", region: null });
    expect(await meterFrame(file)).toMatchObject({ basis: "rendered", region: "whole" });
  });

  test("that mean nothing are told, with the nearest that would", async () => {
    const result = await gradeFrame(await halves("tonefall:plase=snow", "tonefall:snow"));
    expect(result.placement).toBeNull();
    const note = result.notes.find(({ code }) => code === "keyword-unknown");
    expect(note?.message).toContain("tonefall:plase=snow; tonefall:snow. Did you mean place?");
  });

  test.each([
    ["a tone that is none", ["tonefall:place=snwo"], "snwo"],
    ["a region outside", ["tonefall:region=box:0.5,0,0.8,1"], "box:0.5,0,0.8,1"],
    ["half a corner", ["tonefall:region=polygon:0.1 0.1 0.9 0.1 0.5"], "polygon"],
    ["a comma too many", ["tonefall:region=box:0.1"], "box:0.1"],
    ["a tolerance of nothing", ["tonefall:tolerance=0"], "above 0"],
    ["a basis that is none", ["tonefall:basis=jpeg"], "rendered, scene"],
    ["no value", ["tonefall:place="], "tonefall:place="],
    ["two values", ["tonefall:place=snow", "tonefall:place=tar"], "snow; tar"],
    [
      "more than can be read",
      Array.from({ length: 65 }, (_, n) => `tonefall:x${n}=1`),
      "no camera",
    ],
  ])("with %s fail their frame in one sentence", async (_, keywords, told) => {
    const { failure, verdict, fall } = await gradeFrame(await halves(...keywords));
    expect(failure?.code).toBe("bad-keyword");
    expect(failure?.message).toContain(told);
    expect([verdict, fall]).toEqual([null, null]);
  });

  test("that are wrong do no harm where the brief overrides them", async () => {
    const file = await halves("tonefall:place=snwo", "tonefall:place=tar");
    expect((await gradeFrame(file, { place: 1.7, region: "box:0,0,0.5,1" })).verdict).toBe(
      "within",
    );
  });
});

describe("the region tagged", () => {
  const left = {
    boundary: { rbShape: "rectangle", rbUnit: "relative", rbX: 0, rbY: 0, rbW: 0.5, rbH: 1 },
    name: "left",
  };
  const right = { boundary: { ...left.boundary, rbX: 0.5 }, name: "right" };
  const both = iptcRegionsXmp(left, right);
  const regionOf = async (elements: string, region?: string) => {
    const result = await gradeFrame(
      await taggedPicture(elements),
      region === undefined ? {} : { region },
    );
    return result.failure?.code ?? result.region;
  };

  test("is the keyword's own before any other", async () => {
    expect(await regionOf(both + keywordsXmp("tonefall:region=spot"), "tagged")).toBe("spot");
    expect(await regionOf(both + keywordsXmp("tonefall:region=iptc:right"), "tagged")).toBe(
      "box:0.5,0,0.5,1",
    );
  });

  test("is the only one marked, where no keyword says", async () => {
    expect(await regionOf(iptcRegionsXmp(left), "tagged")).toBe("box:0,0,0.5,1");
    expect(await regionOf(iptcRegionsXmp(left) + keywordsXmp("tonefall:region=tagged"))).toBe(
      "box:0,0,0.5,1",
    );
    expect(await regionOf(both, "tagged")).toBe("several-regions");
  });

  test("is not taken unasked", async () => {
    expect(await regionOf(iptcRegionsXmp(left))).toBe("whole");
  });

  test("of a brief gives way to no keyword when it is a name", async () => {
    expect(await regionOf(both + keywordsXmp("tonefall:region=iptc:right"), "iptc:left")).toBe(
      "box:0,0,0.5,1",
    );
  });
});

test("rows with marks, briefs from keywords and failures follow the published schema", async () => {
  const area = { x: 0.5, y: 0.5, w: 0.5, h: 0.5 };
  const boundary = { rbShape: "polygon", rbUnit: "pixel" };
  const vertices = [
    [0, 0],
    [20, 0],
    [20, 20],
  ] as const;
  const marks =
    iptcRegionsXmp({ boundary, vertices }, { boundary: {} }) +
    mwgRegionsXmp(
      [{ type: "Focus", area }, { area: { x: 0, y: 0 } }, { area: { x: 0, y: 0, d: 1 } }],
      { w: 60, h: 40 },
    );
  const rows = [
    await gradeFrame(await taggedPicture(marks + keywordsXmp("tonefall:place=0"))),
    await gradeFrame(await taggedPicture(marks), { region: "tagged" }),
    await gradeFrame(await halves("tonefall:place=nowhere")),
  ];
  expect(rows[0]?.exposure?.regions.value).toHaveLength(5);
  const schema = new URL("../packages/grader/schema/results.schema.json", import.meta.url);
  const validate = new Ajv2020({ allErrors: true, allowUnionTypes: true }).compile(
    JSON.parse(readFileSync(schema, "utf8")),
  );
  validate(
    JSON.parse(
      JSON.stringify({ schemaVersion: SCHEMA_VERSION, frames: rows, summary: summarise(rows) }),
    ),
  );
  expect(validate.errors ?? []).toEqual([]);
});

describe("tonefall grade, as a person runs it", () => {
  let folder = "";
  beforeAll(async () => {
    folder = await newFolder();
    const left = {
      boundary: { rbShape: "rectangle", rbUnit: "relative", rbX: 0, rbY: 0, rbW: 0.5, rbH: 1 },
    };
    const write = (name: string, bytes: Uint8Array) => writeFile(join(folder, name), bytes);
    await write("right.png", await halves("tonefall:place=-2", "tonefall:region=box:0.5 0 0.5 1"));
    await write(
      "left.png",
      await taggedPicture(
        keywordsXmp("tonefall:place=-2") + iptcRegionsXmp({ ...left, name: "[2J\u202ehull" }),
        (x) => x < 30,
      ),
    );
    await writeFile(join(folder, "brief.yaml"), '"left.png": { region: tagged, place: 1.7 }\n');
  });
  afterAll(() => rm(folder, { recursive: true }));

  const run = (...args: string[]): Promise<Run> => runHere(["grade", ...args], { cwd: folder });
  const frames = ({ stdout }: { stdout: string }): FrameResult[] => JSON.parse(stdout).frames;

  test("keywords, brief file and command line rank in that order, the last first", async () => {
    const own = frames(await run("right.png", "left.png", "-f", "json"));
    expect(own.map(({ verdict, region }) => [verdict, region])).toEqual([
      ["within", "box:0.5,0,0.5,1"],
      ["over", "whole"],
    ]);
    const byFile = frames(await run("left.png", "--brief", "brief.yaml", "-f", "json"));
    expect(byFile.map(({ verdict, region }) => [verdict, region])).toEqual([
      ["within", "box:0,0,0.5,1"],
    ]);
    const typed = frames(await run("left.png", "--brief", "brief.yaml", "-p", "-2", "-f", "json"));
    expect(typed.map(({ verdict, region }) => [verdict, region])).toEqual([
      ["over", "box:0,0,0.5,1"],
    ]);
  });

  test("a miss of a picture's own placement counts with --fail-on-miss, and the table says whose it is", async () => {
    const { code, stdout } = await run("left.png", "--fail-on-miss");
    expect(code).toBe(1);
    expect(stdout).toContain("brief-from-keywords");
  });

  test("a region that is not there is a row, and no name from a file steers the terminal", async () => {
    const { code, stdout } = await run("right.png", "left.png", "-r", "iptc:keel");
    expect(code).toBe(3);
    expect(stdout).toContain("no-such-region");
    expect(stdout).toContain("[2Jhull");
    // biome-ignore lint/suspicious/noControlCharactersInRegex: what must not be there
    expect(stdout).not.toMatch(/[\u001b\u202e]/);
  });
});
