import { cp, mkdtemp, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Run, runTonefall } from "./runTonefall.ts";

const SAMPLE = resolve(import.meta.dirname, "../samples/class");

/** Every run is a process of its own. */
const SLOW = { timeout: 120_000 };

let home = "";
let folder = "";
let marked: Run;
const run = (...args: string[]): Promise<Run> =>
  runTonefall(["class", ...args], { cwd: home, env: { TONEFALL_CACHE: join(home, "cache") } });

beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), "tonefall class command "));
  folder = join(home, "term");
  await cp(SAMPLE, folder, {
    recursive: true,
    filter: (source) => !source.endsWith(".marked.ndjson"),
  });
  marked = await run("mark", "term");
}, 120_000);
afterAll(() => rm(home, { recursive: true }));

/** Everything in the folders of hand-ins. */
async function handIns(): Promise<string[]> {
  const names = await readdir(folder, { recursive: true });
  return names.filter((name) => /^s\d\d/.test(name)).sort();
}

describe("class mark", SLOW, () => {
  test("prints each exercise's sheet at 80 columns, and says where it is kept", async () => {
    const { code, stdout, stderr } = marked;
    expect([code, stderr]).toEqual([0, ""]);
    for (const line of stdout.split("\n")) expect(line.length, line).toBeLessThanOrEqual(80);
    expect(stdout.match(/^Student {2}Task/gm)).toHaveLength(3);
    expect(stdout).toMatch(
      /^s02 +tar +▲ lighter +\+1\.5\d +not yet +meter followed on dark tones$/m,
    );
    expect(stdout).toContain("s06/week3/rope-1.jpg and s04/week3/rope-1.jpg are the same file.");
  });

  test("writes its record beside the class file, and nothing into hand-ins", async () => {
    const top = (await readdir(folder)).filter((name) => !/^s\d\d$/.test(name));
    expect(top.sort()).toEqual(["class.marked.ndjson", "class.yaml", "truth.json"]);
    expect(await handIns()).toEqual(
      (await readdir(SAMPLE, { recursive: true })).filter((name) => /^s\d\d/.test(name)).sort(),
    );
  });

  test("one exercise as json: codes alone, with a hash for every frame", async () => {
    const { code, stdout } = await run("mark", "term", "-e", "week1", "-f", "json");
    const { exercises } = JSON.parse(stdout);
    expect([code, exercises.map(({ id }: { id: string }) => id)]).toEqual([0, ["week1"]]);
    const frames = exercises[0].rows.flatMap(({ frames }: { frames: unknown[] }) => frames);
    expect(frames).toHaveLength(15);
    for (const frame of frames) {
      expect(frame).toMatchObject({
        sha256: expect.stringMatching(/^[0-9a-f]{64}$/),
        changed: false,
      });
    }
  });

  test("names stand in the table where they are asked for, and nowhere else", async () => {
    const file = join(folder, "class.yaml");
    const text = await readFile(file, "utf8");
    await writeFile(file, text.replace("hand-ins:", "names: names.yaml\nhand-ins:"));
    await writeFile(join(folder, "names.yaml"), "s01: Ada Example\ns06: Ben Example\n");
    const named = await run("mark", "term", "-e", "week1", "--names");
    expect(named.stdout).toContain("s01 Ada Example");
    expect((await run("mark", "term", "-e", "week1")).stdout).not.toContain("Example");
    const refused = await run("mark", "term", "--names", "-f", "json");
    expect([refused.code, refused.stdout]).toEqual([2, ""]);
    await writeFile(join(folder, "names.yaml"), "s77: Cleo\n");
    const wrong = await run("mark", "term", "--names");
    expect([wrong.code, wrong.stderr]).toEqual([
      2,
      expect.stringContaining('names.yaml:1:1: "s77" is not a code of the class'),
    ]);
    await writeFile(file, text);
  });

  test("parts of a run fill the cache, and the whole run then has the same sheet", async () => {
    const cache = join(home, "parts");
    const part = (...args: string[]): Promise<Run> =>
      runTonefall(["class", "mark", "term", ...args], {
        cwd: home,
        env: { TONEFALL_CACHE: cache },
      });
    for (const shard of ["1/2", "2/2"]) {
      const { code, stdout, stderr } = await part("--shard", shard);
      expect([code, stdout, stderr]).toEqual([
        0,
        "",
        expect.stringContaining("run without --shard"),
      ]);
    }
    const refused = await part("--shard", "1/2", "-o", "sheet.txt");
    expect([refused.code, refused.stderr]).toEqual([2, expect.stringContaining("--shard")]);
    const rows = (await readdir(cache, { recursive: true })).length;
    expect((await part()).stdout).toBe(marked.stdout);
    // Nothing was left to grade.
    expect(await readdir(cache, { recursive: true })).toHaveLength(rows);
  });
});

describe("class check", SLOW, () => {
  test("counts who handed in what, and opens no picture", async () => {
    await writeFile(join(folder, "s01/week1/torn.jpg"), "no picture");
    const { code, stdout, stderr } = await run("check", "term/class.yaml");
    await rm(join(folder, "s01/week1/torn.jpg"));
    expect([code, stderr]).toEqual([1, ""]);
    expect(stdout).toContain("week1: 5 of 6 students handed in ({student}/{exercise})");
    expect(stdout).toMatch(/^s01 +2 +1 +1$/m);
    expect(stdout).toMatch(/^s02 +3 of 2 +1$/m);
    expect((await run("check", "term")).code).toBe(0);
  });

  test("lists everything that is wrong with the file", async () => {
    const text = await readFile(join(folder, "class.yaml"), "utf8");
    const wrong = text.replace("place: tar", "place: tarr").replace("2025-06-18 20:00", "soon");
    await writeFile(join(home, "wrong.yaml"), wrong);
    const { code, stdout, stderr } = await run("check", "wrong.yaml");
    expect([code, stdout]).toEqual([2, ""]);
    expect(stderr).toMatch(/wrong\.yaml:11:\d+: .*tarr/);
    expect(stderr).toMatch(/wrong\.yaml:15:\d+: .*soon/);
  });
});

test("class new writes a file that marks as it is, and never over one", SLOW, async () => {
  const other = join(home, "other");
  await cp(folder, other, { recursive: true });
  expect((await run("new", "other")).stderr).toContain("is there already");
  for (const name of ["class.yaml", "class.marked.ndjson"]) await rm(join(other, name));
  const made = await run("new", "other");
  expect([made.code, made.stdout]).toEqual([0, ""]);
  expect(made.stderr).toContain('tonefall class check "other/class.yaml"');
  expect((await run("check", "other")).code).toBe(0);
  const { code, stdout } = await run("mark", "other", "--no-record");
  expect([code, stdout.match(/^Student {2}Task/gm)?.length]).toEqual([0, 3]);
  expect(await readdir(other)).not.toContain("class.marked.ndjson");
});
