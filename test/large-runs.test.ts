import type { ChildProcess } from "node:child_process";
import { copyFile, mkdir, readdir, readFile, rm, stat, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import {
  type FrameResult,
  gradeFrames,
  mergeRows,
  type RowShard,
  type RunPart,
  readRows,
  withPairs,
} from "@tonefall/grader";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { explain } from "../packages/grader/src/run/explain.ts";
import { summedRow } from "../packages/grader/src/run/summedRow.ts";
import { METERED_EXIF, newFolder, picture } from "./pictures.ts";
import { runTonefall } from "./runTonefall.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");
const BRIEF = join(HARBOUR, "brief.yaml");

const FRAMES = 36;

/** Every run is a process of its own, and there are many in a test: a busy machine takes its time. */
const SLOW = { timeout: 300_000 };
const FORMATS = ["table", "ndjson", "csv"] as const;

let folder = "";
let shoot = "";

beforeAll(async () => {
  folder = await newFolder();
  shoot = join(folder, "shoot");
  await mkdir(shoot);
  // Large enough that a kill falls between two frames, or within one.
  const grain = picture(900, 600, (x, y) => [(x * 7 + y * 13) % 256, (x + y) % 256, 90]);
  const first = join(shoot, "IMG_1.jpg");
  await grain.withExif(METERED_EXIF).jpeg().toFile(first);
  for (let i = 2; i <= FRAMES; i++) await copyFile(first, join(shoot, `IMG_${i}.jpg`));
  await writeFile(join(shoot, "IMG_12.jpg"), "no picture");
});
afterAll(() => rm(folder, { recursive: true }));

const rowLines = async (journal: string): Promise<string[]> =>
  (await readFile(journal, "utf8").catch(() => ""))
    .split("\n")
    .filter((line) => line.startsWith('{"key"'));

/** Sends a signal once the journal has so many rows, or the process has ended. */
async function whenRows(
  rows: number,
  journal: string,
  signal: NodeJS.Signals,
  child: ChildProcess,
): Promise<void> {
  while (child.exitCode === null && child.signalCode === null) {
    if ((await rowLines(journal)).length >= rows) child.kill(signal);
    await new Promise((soon) => setTimeout(soon, 2));
  }
}

describe("tonefall grade --resume", SLOW, () => {
  const args = (journal: string, output: string): string[] => [
    ...["grade", shoot, "--place", "-1", "--voice", "student", "--jobs", "2"],
    ...["--resume", journal, "-f", "json", "-o", output],
  ];

  /** The result of a run left alone. */
  let whole = "";
  beforeAll(async () => {
    whole = join(folder, "whole.json");
    expect((await runTonefall(args(join(folder, "whole.journal"), whole))).code).toBe(3);
  }, SLOW.timeout);

  /** Kills a run after some rows, again and again, until its output is written; how often it was killed before. */
  async function killsOf(journal: string, output: string): Promise<number> {
    const steps = fc.sample(fc.integer({ min: 2, max: 12 }), { seed: 7, numRuns: FRAMES });
    let kills = 0;
    for (const step of steps) {
      const before = (await rowLines(journal)).length;
      const { signal, stderr, code } = await runTonefall(args(journal, output), {
        meanwhile: (child) => whenRows(before + step, journal, "SIGKILL", child),
      });
      if (before > 0) expect(stderr).toContain(`resuming after ${before} row`);
      if (signal === null) expect(code).toBe(3);
      // What is written before a run ends is whole; a kill that comes later took nothing.
      if (await stat(output).catch(() => null)) break;
      expect(signal).toBe("SIGKILL");
      kills++;
    }
    return kills;
  }

  test("killed again and again, it ends with the bytes of a run left alone, no frame graded twice", async () => {
    let kills = 0;
    // On a busy machine a run may be done before it is killed as often as that.
    for (let attempt = 1; kills < 3 && attempt <= 10; attempt++) {
      const journal = join(folder, `killed-${attempt}.journal`);
      const output = join(folder, `killed-${attempt}.json`);
      kills += await killsOf(journal, output);
      expect(await readFile(output)).toEqual(await readFile(whole));
      // One row for each frame that is a picture: what one process had finished, no later one graded.
      const keys = (await rowLines(journal)).map((line) => line.slice(8, 72));
      expect([keys.length, new Set(keys).size]).toEqual([FRAMES - 1, FRAMES - 1]);
    }
    expect(kills).toBeGreaterThan(2);
  });

  test("interrupted, it leaves a journal and no part of the output", async () => {
    const journal = join(folder, "interrupted.journal");
    const place = join(folder, "interrupted");
    await mkdir(place);
    const { code } = await runTonefall(args(journal, join(place, "out.json")), {
      meanwhile: (child) => whenRows(3, journal, "SIGINT", child),
    });
    expect(code).toBe(130);
    expect(await readdir(place)).toEqual([]);
    const { stderr } = await runTonefall(args(journal, join(place, "out.json")));
    expect(stderr).toMatch(/resuming after \d+ rows?/);
    expect(await readFile(join(place, "out.json"))).toEqual(await readFile(whole));
  });

  test("another brief, other options and a file of another kind are refused, and nothing is touched", async () => {
    const journal = join(folder, "refusing.journal");
    const run = ["grade", join(shoot, "IMG_1.jpg"), "--resume", journal];
    expect((await runTonefall([...run, "--place", "-1"])).code).toBe(0);
    const before = await readFile(journal);
    for (const [more, why] of [
      [["--place", "-2"], "another brief"],
      [["--place", "-1", "--mid-grey", "0.12"], "other options"],
      [["--place", "-1", "--histograms"], "other options"],
    ] as const) {
      const { code, stderr } = await runTonefall([...run, ...more]);
      expect([code, stderr]).toEqual([2, expect.stringContaining(why)]);
      expect(stderr).toContain("[bad-journal]");
    }
    expect(await readFile(journal)).toEqual(before);
    const mine = join(folder, "mine.txt");
    await writeFile(mine, "my notes\nof the day\n");
    expect((await runTonefall(["grade", shoot, "--resume", mine])).stderr).toContain(
      "another file",
    );
    expect(await readFile(mine, "utf8")).toBe("my notes\nof the day\n");
  });

  test("a report and a journal exclude each other", async () => {
    const { code, stderr } = await runTonefall([
      ...["grade", shoot, "--report", join(folder, "page.html")],
      ...["--resume", join(folder, "page.journal")],
    ]);
    expect([code, stderr]).toEqual([2, expect.stringContaining("--report or --resume")]);
  });
});

describe("tonefall grade --shard and merge", SLOW, () => {
  test("merged parts are the bytes of one run, in whatever format", async () => {
    // Two that rest on the frame before, and a pair of raw and rendered file.
    const frames = (await readdir(HARBOUR)).filter((name) => /^(12|13|14|29)-/.test(name)).sort();
    const files = frames.map((name) => join(HARBOUR, name));
    const run = ["grade", ...files, "--brief", BRIEF, "--voice", "teacher"];
    const parts: string[] = [];
    // Parts of both forms; the last edge lies within the pair, and the raw file is so large that part 4 is empty.
    for (const index of [2, 1, 3, 4, 5]) {
      const form = index < 3 ? "ndjson" : "json";
      const part = join(folder, `harbour-${index}.${form}`);
      await runTonefall([...run, "--shard", `${index}/5`, "-f", form, "-o", part]);
      parts.push(part);
    }
    for (const format of FORMATS) {
      const [whole, merged] = await Promise.all([
        runTonefall([...run, "-f", format]),
        runTonefall(["merge", ...parts, "-f", format]),
      ]);
      // What to try next depends on the options of the run, which its parts do not tell.
      expect(merged.stdout, format).toBe(whole.stdout.replace(/Next: .*\n(?:.+\n)*$/, ""));
      expect(merged.code).toBe(whole.code);
    }
    const { code, stderr } = await runTonefall(["merge", ...parts.slice(1)]);
    expect([code, stderr]).toEqual([2, expect.stringContaining("give part 2/5 whole")]);
    expect((await runTonefall(["merge", ...parts, "-f", "junit"])).stderr).toContain(
      "[bad-option]",
    );
  });

  test("a whole result is merged into another form", async () => {
    const whole = join(folder, "one.ndjson");
    const run = ["grade", join(HARBOUR, "01-tarred-hull-as-metered.jpg"), "--place", "tar"];
    await runTonefall([...run, "-f", "ndjson", "-o", whole]);
    const [csv, merged] = [
      await runTonefall([...run, "-f", "csv"]),
      await runTonefall(["merge", whole, "-f", "csv"]),
    ];
    expect(merged.stdout).toBe(csv.stdout);
    expect((await runTonefall(["merge", whole, "--fail-on-miss"])).code).toBe(1);
  });
});

describe("the cache of the command", SLOW, () => {
  const cache = (): string => join(folder, "cache");
  const size = async (): Promise<string> =>
    (await runTonefall(["cache"], { env: { TONEFALL_CACHE: cache() } })).stdout.split("\n")[1] ??
    "";

  test("is written by grade, left alone with --no-cache and by check, and cleared", async () => {
    const env = { TONEFALL_CACHE: cache() };
    const frames = [1, 2].map((i) =>
      join(HARBOUR, `0${i}-tarred-hull-${i === 1 ? "as-metered" : "corrected"}.jpg`),
    );
    const run = ["grade", ...frames, "--place", "tar", "-f", "json"];
    const fresh = await runTonefall([...run, "--no-cache"], { env });
    expect(await size()).toMatch(/^0 rows/);
    expect((await runTonefall(run, { env })).stdout).toBe(fresh.stdout);
    expect(await size()).toMatch(/^2 rows/);
    expect((await runTonefall(run, { env })).stdout).toBe(fresh.stdout);
    const { stdout } = await runTonefall(["cache", "--clear"], { env });
    expect(stdout).toMatch(/\n0 rows/);
  });

  test("is turned on for check by --cache, and the check says the same", async () => {
    const env = { TONEFALL_CACHE: cache() };
    const set = join(folder, "set.yaml");
    await copyFile(join(HARBOUR, "02-tarred-hull-corrected.jpg"), join(folder, "hull.jpg"));
    await writeFile(
      set,
      "set: One\nallow: [extra-file]\nframes:\n  hull: { file: hull.jpg, claims: [{ falls: { region: spot, place: tar } }] }\n",
    );
    const plain = await runTonefall(["check", set, "-f", "json"], { env });
    expect(plain.stdout).toContain('"kept"');
    expect(await size()).toMatch(/^0 rows/);
    for (let i = 0; i < 2; i++) {
      const cached = await runTonefall(["check", set, "--cache", "-f", "json"], { env });
      // The cache lies in the set's folder here, and other files of that are counted on stderr.
      expect({ ...cached, stderr: "" }).toEqual({ ...plain, stderr: "" });
      expect(await size()).toMatch(/^[12] rows/);
    }
  });

  test("that cannot be written is told once on stderr, and the result stands", async () => {
    const blocked = join(folder, "blocked");
    await writeFile(blocked, "");
    const run = ["grade", join(shoot, "IMG_1.jpg"), join(shoot, "IMG_2.jpg"), "-f", "csv"];
    const { code, stderr } = await runTonefall(run, { env: { TONEFALL_CACHE: blocked } });
    expect(code).toBe(0);
    expect(stderr.match(/the cache cannot be written/g)).toHaveLength(1);
  });
});

describe("withPairs", () => {
  test("tells the same pairs when it knows the files beforehand, in any order and with files of a third kind", async () => {
    const shot = ["dng", "jpg"].map((end) => join(HARBOUR, `29-slip-and-boathouse.${end}`));
    const graded: FrameResult[] = [];
    for await (const row of gradeFrames(shot, { place: 0 })) graded.push(row);
    const [raw, rendered] = graded as [FrameResult, FrameResult];
    const rows = ["one", "two", "three"].flatMap((stem) => [
      { ...raw, file: `${stem}.dng` },
      { ...rendered, file: `${stem}.jpg` },
      { ...rendered, file: `${stem.toUpperCase()}.tif` },
      { ...rendered, file: `${stem} alone.jpg` },
    ]);
    async function* inOrder(of: readonly FrameResult[]): AsyncGenerator<FrameResult> {
      yield* of;
    }
    const pairsOf = async (of: readonly FrameResult[], files?: string[]): Promise<unknown[]> => {
      const pairs: unknown[] = [];
      for await (const { file, pair } of withPairs(inOrder(of), files)) pairs.push([file, pair]);
      return pairs;
    };
    await fc.assert(
      fc.asyncProperty(
        fc.shuffledSubarray(rows, { minLength: rows.length }),
        async (mixed: FrameResult[]) => {
          const known = await pairsOf(
            mixed,
            mixed.map(({ file }) => file),
          );
          expect(known).toEqual(await pairsOf(mixed));
          expect(known.filter((row) => (row as unknown[])[1]).length).toBeGreaterThanOrEqual(3);
        },
      ),
      { numRuns: 50 },
    );
  });
});

describe("mergeRows", () => {
  const whole: FrameResult[] = [];

  beforeAll(async () => {
    const names = (await readdir(HARBOUR)).filter((name) => /\.(jpg|dng)$/.test(name)).sort();
    const paths = names.map((name) => join(HARBOUR, name));
    const rows = gradeFrames(paths, { place: 0 }, { voice: "student" });
    for await (const row of withPairs(rows)) whole.push(JSON.parse(JSON.stringify(row)));
  }, SLOW.timeout);

  const explainedBy = (row: FrameResult, preceding: readonly FrameResult[]): FrameResult =>
    explain(row, preceding.slice(-5), "student");

  /** Rows as parts hold them: without pairs across their edges, and explained from the rows of the part alone. */
  function partsOf(edges: readonly number[], explainRow = explainedBy): RunPart[] {
    const ends = [...new Set(edges), whole.length].sort((a, b) => a - b);
    return ends.map((end, i) => {
      const from = ends[i - 1] ?? 0;
      const own = whole.slice(from, end).map(({ pair: _, ...row }) => row);
      const rows = own.map((row, j): FrameResult => {
        const place = from + j + 1;
        const of = ends.length;
        const block = { frames: whole.length, first: from + 1, last: end, folder: "" };
        const shard = { index: i + 1, of, place, ...block, run: "r", voice: "student" };
        return summedRow(explainRow(row, own.slice(0, j)), shard as RowShard);
      });
      return part(`part ${i + 1}`, rows);
    });
  }

  const part = (name: string, rows: readonly FrameResult[]): RunPart => ({
    name,
    rows: async function* () {
      yield* rows;
    },
  });

  const merged = async (parts: readonly RunPart[]): Promise<FrameResult[]> => {
    const rows: FrameResult[] = [];
    for await (const row of (await mergeRows(parts)).rows) rows.push(row);
    return rows;
  };

  test("wherever a run is cut and however parts are mixed, the rows are the run's, causes and pairs included", async () => {
    expect(whole.some(({ pair }) => pair)).toBe(true);
    expect(whole.some(({ causes }) => causes.length > 0)).toBe(true);
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.integer({ min: 1, max: whole.length - 1 }), { maxLength: 12 }),
        fc.infiniteStream(fc.nat()),
        async (edges, keys) => {
          const parts = partsOf(edges).map((one) => ({ one, key: keys.next().value ?? 0 }));
          const mixed = parts.sort((a, b) => a.key - b.key).map(({ one }) => one);
          expect(JSON.stringify(await merged(mixed))).toBe(JSON.stringify(whole));
        },
      ),
      { numRuns: 25, seed: 11 },
    );
  });

  test("five rows before a row explain it: where a part has them, or the run has no more, its words stand", async () => {
    const causes = [{ code: "flash-fired", strength: "strong", evidence: [] }] as const;
    const rows = await merged(partsOf([2, 9], (row) => ({ ...row, causes })));
    const anew = rows.flatMap((row, i) => (row.causes === causes ? [] : [i]));
    expect(anew).toEqual([2, 3, 4, 5, 6, 9, 10, 11, 12, 13]);
  });

  test.each([
    ["a part is missing", (parts: RunPart[]) => parts.toSpliced(1, 1), "are missing"],
    ["the last is missing", (parts: RunPart[]) => parts.slice(0, -1), "are missing"],
    ["a part comes twice", (parts: RunPart[]) => [...parts, parts[0] as RunPart], "appears twice"],
    ["there are no rows", () => [part("empty", []), part("empty too", [])], "hold no rows"],
    [
      "a whole result comes twice",
      () => [part("whole", whole), part("again", whole)],
      "hold the same rows",
    ],
    [
      "one is of another run",
      (parts: RunPart[]) => parts.map((one, i) => (i === 0 ? changed(one, { run: "other" }) : one)),
      "are missing",
    ],
    [
      "rows of one do not follow one another",
      (parts: RunPart[]) => parts.map((one, i) => (i === 1 ? reversed(one) : one)),
      "do not follow one another",
    ],
    [
      "a row is not what was written",
      (parts: RunPart[]) => parts.map((one, i) => (i === 1 ? withOtherVerdict(one) : one)),
      "row 1 of part 2 is damaged",
    ],
    [
      "places are none",
      (parts: RunPart[]) => parts.map((one) => changed(one, { place: "first" as never })),
      "where they stand",
    ],
  ])("is refused when %s", async (_, change, why) => {
    await expect(merged(change(partsOf([8, 15])))).rejects.toThrow(why);
  });

  test("runs follow one another, each row names its run, and parts are joined before", async () => {
    const other = whole.slice(0, 3).map((row) => ({ ...row, causes: [] }));
    const parts = partsOf([8]);
    const rows = await merged([part("week1", other), ...parts]);
    const named = (run: string, of: readonly FrameResult[]): FrameResult[] =>
      of.map((row) => ({ ...row, run }));
    expect(rows).toEqual([...named("week1", other), ...named("part 1", whole)]);
    const again = await merged([part("term", rows), part("week9", other)]);
    expect(again.map(({ run }) => run)).toEqual([
      ...rows.map(({ run }) => run),
      ...other.map(() => "week9"),
    ]);
  });

  /** A row that says where it stands otherwise, and is whole. */
  const resummed = (row: FrameResult, shard: Partial<RowShard>): FrameResult => {
    const { sum: _, ...own } = row.shard as RowShard;
    return summedRow(row, { ...own, ...shard });
  };

  const changed = (one: RunPart, shard: Partial<RowShard>): RunPart => ({
    name: one.name,
    rows: async function* () {
      for await (const row of one.rows()) yield resummed(row, shard);
    },
  });

  const withOtherVerdict = (one: RunPart): RunPart => ({
    name: one.name,
    rows: async function* () {
      for await (const row of one.rows())
        yield { ...row, verdict: row.verdict === "over" ? "under" : "over" };
    },
  });

  const reversed = (one: RunPart): RunPart => ({
    name: one.name,
    rows: async function* () {
      const rows: FrameResult[] = [];
      for await (const row of one.rows()) rows.unshift(row);
      yield* rows;
    },
  });

  test.each([
    ["torn", (text: string) => text.slice(0, -9), "torn"],
    ["of another schema version", (text: string) => text.replaceAll('n":1', 'n":2'), "version 2"],
    ["of something else", () => '{"schemaVersion":1,"file":"a.jpg"}\n', "was not written by grade"],
    ["no JSON", () => "words\n", "it is a text"],
  ])("readRows refuses a result that is %s", async (name, change, why) => {
    const path = join(folder, `${name}.ndjson`);
    const text = whole.map((row) => `${JSON.stringify({ schemaVersion: 1, ...row })}\n`).join("");
    await writeFile(path, change(text));
    const read = async (): Promise<void> => {
      for await (const row of readRows(path)) expect(row.file).not.toBe("");
    };
    await expect(read()).rejects.toThrow(why);
  });
});
