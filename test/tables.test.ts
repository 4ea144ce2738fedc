import { mkdir, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import stringWidth from "string-width";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { flat, METERED_EXIF, newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";
import type { Run } from "./runTonefall.ts";

const LONG = "Portrait_of_my_grandmother_before_the_window";
const WIDE = "祖母の肖像画とても長い名前のファイル名です";
const COMBINING = "e\u0301te\u0301".repeat(16);
const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");

/** Every run is a process of its own. */
const SLOW = { timeout: 120_000 };

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
  for (const [student, code] of [
    ["hana", 60],
    ["leo", 118],
  ] as const) {
    const week = join(folder, "class", student, "week1");
    await mkdir(week, { recursive: true });
    for (const name of [`${LONG}_8`, `${LONG}_9`, `${WIDE}-10`, `${COMBINING}-11`]) {
      await flat(code)
        .withExif(METERED_EXIF)
        .jpeg()
        .toFile(join(week, `${name}.jpg`));
    }
  }
  await writeFile(join(folder, "class", "leo", "empty.jpg"), "");
});
afterAll(() => rm(folder, { recursive: true }));

const run = (columns: number, ...args: string[]): Promise<Run> =>
  runHere(args, { cwd: folder, env: { TONEFALL_CACHE: "", COLUMNS: String(columns) } });

describe.each([60, 80, 120])("at %i columns", SLOW, (columns) => {
  test.each([
    ["grade", "class"],
    ["grade", "class", "--place", "0"],
    ["grade", "class", "--place", "1.5..2.5", "--sort", "worst"],
    ["grade", "class", "--place", "snow", "--voice", "student"],
    ["grade", HARBOUR, "--brief", join(HARBOUR, "brief.yaml")],
    ["meter", "class", "--place", "0"],
    ["meter", HARBOUR],
    ["read", "class"],
    ["read", HARBOUR],
    ["check", `${HARBOUR}/set.yaml`],
    ["kit", "card", "class/hana/week1"],
  ])("tonefall %s %s %s %s fits the line, without colour", async (...args) => {
    const { stdout } = await run(columns, ...args);
    expect(stdout).not.toBe("");
    expect(stdout).not.toContain("\u001b");
    expect(stdout).not.toMatch(/undefined|NaN|null/);
    for (const line of stdout.split("\n")) {
      expect(stringWidth(line), line).toBeLessThanOrEqual(columns);
      expect(line).toBe(line.trimEnd());
    }
  });

  test("one frame is one line under its folder, and keeps its number", async () => {
    const { stdout } = await run(columns, "grade", "class", "--place", "0");
    const [, hana = "", leo = ""] = stdout.split(/^(?:hana|leo)\/week1\/$/m);
    for (const week of [hana, leo]) {
      const lines = week.trimStart().split("\n\n")[0]?.split("\n") ?? [];
      expect(lines.map((line) => /[_-](\d+)(?:….*|\.jpg) /.exec(line)?.[1])).toEqual(
        ["11", "8", "9", "10"].map((number) => expect.stringContaining(number)),
      );
    }
  });

  test("no frame of the harbour takes more than one line", async () => {
    const brief = join(HARBOUR, "brief.yaml");
    const { stdout } = await run(columns, "grade", HARBOUR, "--brief", brief);
    const [, , table = ""] = /^(.*?)\n\n(.*?)\n\n/s.exec(stdout) ?? [];
    expect(table.split("\n")).toHaveLength(31);
  });
});

describe("what all rows share is said once", SLOW, () => {
  test("placement, basis and outcome stand in the heading, and an error that repeats the fall nowhere", async () => {
    const { stdout } = await run(80, "grade", "class/hana", "--place", "0");
    const [heading = "", table = ""] = stdout.split("\n\n");
    expect(heading).toMatch(
      /Stops on the rendered basis; placed at 0, middle grey; every frame ▼ darker/,
    );
    expect(table.split("\n")[0]).toMatch(/^Frame +Fell$/);
    expect(table).toMatch(/-1\.9\d ± 0\.05$/m);
    const measured = await run(80, "grade", "class/hana");
    expect(measured.stdout).toContain("every frame measured");
    expect(measured.stdout).not.toContain("Outcome");
  });

  test("a placement off middle grey keeps fall and error apart", async () => {
    const { stdout } = await run(80, "grade", "class/hana", "--place", "1");
    expect(stdout).toMatch(/^Frame +Fell +Error$/m);
  });
});

describe("the summary says what to do in this run", SLOW, () => {
  const last = async (...args: string[]): Promise<string> => {
    const { stdout } = await run(120, "grade", ...args);
    return stdout.trimEnd().split("\n\n").at(-1) ?? "";
  };

  test("the step depends on what is missing", async () => {
    expect(await last("class")).toContain("Next: add --place TONE");
    expect(await last("class", "-p", "0")).toContain("Next: add --voice student");
    const spoken = await last("class", "-p", "0", "--voice", "student");
    expect(spoken).toContain("Next: add --report");
    expect(spoken).not.toContain("--voice");
    expect(await last("class/leo/week1", "-p", "0")).not.toContain("Next");
    expect(await last("class/leo/empty.jpg")).toContain("Next: see above");
  });

  test("the cause, the three worst and what was skipped have their numbers", async () => {
    const summary = await last("class", "-p", "0");
    expect(summary).toMatch(/Commonest cause: [a-z ]+ \(4 of 4 misses\)\./);
    expect(summary.match(/\(-1\.9\d\)/g)).toHaveLength(3);
    expect(summary).toContain("Skipped: 1 frame (empty-file).");
  });
});

describe("--sort worst", SLOW, () => {
  test("gives every form the same order, by need", async () => {
    const args = ["grade", "class", "-p", "0", "--sort", "worst"];
    const { stdout } = await run(120, ...args);
    expect(stdout.indexOf("▼ darker")).toBeLessThan(stdout.indexOf("not graded"));
    expect(stdout.indexOf("not graded")).toBeLessThan(stdout.indexOf("within"));
    const json = JSON.parse((await run(80, ...args, "-f", "json")).stdout);
    const verdicts = json.frames.map(({ verdict }: { verdict: string | null }) => verdict);
    expect(verdicts).toEqual([...Array(4).fill("under"), null, ...Array(4).fill("within")]);
  });

  test("refuses a part of a run, whose rows have their places", async () => {
    const { code, stderr } = await run(80, "grade", "class", "--sort", "worst", "--shard", "1/2");
    expect([code, stderr]).toEqual([2, expect.stringContaining("--shard")]);
  });
});

describe("--by-folder", SLOW, () => {
  const args = ["grade", "class", "-p", "0", "--voice", "student", "--by-folder"];

  test("writes each folder its own text, and again over it", async () => {
    expect((await run(80, ...args, "out")).stderr).toContain("wrote 3 files below out");
    expect((await run(80, ...args, "out")).stderr).toContain("wrote 3 files below out");
    const names = await readdir(join(folder, "out"), { recursive: true });
    expect(names.filter((name) => name.endsWith(".txt")).sort()).toEqual([
      join("hana", "week1", "grades.txt"),
      join("leo", "grades.txt"),
      join("leo", "week1", "grades.txt"),
    ]);
    const text = await readFile(join(folder, "out", "hana", "week1", "grades.txt"), "utf8");
    expect(text).toMatch(/^Grades in words for the student: frames in class\/hana\/week1\/\n/);
    expect(text).toContain("4 frames: 4 darker");
    expect(text).not.toContain("leo");
    expect(text).not.toContain("Next:");
  });

  test("leaves alone what a person put there, before anything is graded", async () => {
    const mine = join(folder, "kept", "leo", "grades.txt");
    await mkdir(join(folder, "kept", "leo"), { recursive: true });
    await writeFile(mine, "my notes\n");
    const { code, stdout, stderr } = await run(80, ...args, "kept");
    expect([code, stdout]).toEqual([2, ""]);
    expect(stderr).toContain("would-overwrite");
    expect(await readFile(mine, "utf8")).toBe("my notes\n");
    expect(await readdir(join(folder, "kept"))).toEqual(["leo"]);
    expect((await run(80, ...args, "class/leo/empty.jpg")).stderr).toContain("is a file");
  });
});
