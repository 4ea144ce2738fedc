import {
  appendFile,
  copyFile,
  mkdir,
  readdir,
  readFile,
  rm,
  truncate,
  writeFile,
} from "node:fs/promises";
import { join, resolve } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { pathToFileURL } from "node:url";
import {
  type BriefFor,
  checkSet,
  type FrameResult,
  gradeFrame,
  gradeFrames,
  meterFrames,
  type RunOptions,
} from "@tonefall/grader";
import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from "vitest";
import { lastsLong } from "../packages/grader/src/run/lastsLong.ts";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import { flat, METERED_EXIF, newFolder } from "./pictures.ts";
import { runTonefall } from "./runTonefall.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");

/** Processes start, and end, several times in each of these. */
const SLOW = { timeout: 120_000 };

/** A process that nobody asks anything ends after 3 s; what its environment says is read when it starts. */
const UNTIL_ALL_ENDED = 5000;

let folder = "";
let scripts = 0;
beforeAll(async () => {
  folder = await newFolder();
});
afterAll(() => rm(folder, { recursive: true }));

async function rowsOf(
  paths: readonly string[],
  brief: BriefFor,
  options: RunOptions,
): Promise<FrameResult[]> {
  const rows: FrameResult[] = [];
  for await (const row of gradeFrames([...paths], brief, options)) rows.push(row);
  return rows;
}

/** Has every grading process do something with the path of each frame before it grades it. */
async function beforeEachFrame(deed: string): Promise<string> {
  return beforeItsScript(`
    import fs from "node:fs";
    const send = process.send?.bind(process);
    process.send = (message, ...rest) => {
      if (message === "ready") process.prependListener("message", ({ path }) => { ${deed} });
      return send(message, ...rest);
    };`);
}

/** Has every process run something before its own script. */
async function beforeItsScript(script: string): Promise<string> {
  const file = join(folder, `before ${++scripts}.mjs`);
  await writeFile(file, script);
  return `--import "${pathToFileURL(file)}"`;
}

describe("a frame graded in another process has the row that it has in this one", () => {
  const files = async (): Promise<string[]> => {
    const odd = join(folder, "odd ones");
    await mkdir(odd, { recursive: true });
    await writeFile(join(odd, "no picture.jpg"), "no picture");
    await writeFile(join(odd, "empty.jpg"), "");
    const whole = join(odd, "Möwe im Dunst, ganz.jpg");
    await flat(118).withExif(METERED_EXIF).jpeg().toFile(whole);
    await copyFile(whole, join(odd, "cut short.jpg"));
    await truncate(join(odd, "cut short.jpg"), 300);
    const samples = (await readdir(HARBOUR)).filter((name) =>
      /\.(jpe?g|dng|tiff?|png)$/i.test(name),
    );
    return [
      ...samples.map((name) => join(HARBOUR, name)),
      ...(await readdir(odd)).map((name) => join(odd, name)),
      join(odd, "not there.jpg"),
      folder,
    ];
  };

  test.each<[string, BriefFor, RunOptions]>([
    ["as it comes", { place: -1, region: "spot" }, {}],
    [
      "exactly, with histograms and words",
      {},
      { precision: "exact", histograms: true, voice: "student" },
    ],
    ["quickly, within limits", { place: "snow" }, { precision: "quick", maxMegapixels: 1 }],
    ["on the settings", { place: 0, basis: "settings" }, {}],
  ])("%s", SLOW, async (_, brief, options) => {
    const paths = await files();
    expect(paths.length).toBeGreaterThan(20);
    const here = await rowsOf(paths, brief, { ...options, processes: false });
    expect(await rowsOf(paths, brief, { ...options, processes: true })).toEqual(here);
  });

  test("metered", SLOW, async () => {
    const paths = (await files()).slice(0, 6);
    const both = [false, true].map(async (processes) => {
      const rows: unknown[] = [];
      for await (const row of meterFrames(paths, { region: "spot" }, { processes })) rows.push(row);
      return rows;
    });
    const [here, apart] = await Promise.all(both);
    expect(apart).toEqual(here);
    expect(here).toHaveLength(6);
  });

  test.skipIf(!hasCorpus)(`from many cameras${skippedBecause}`, SLOW, async () => {
    const { files } = JSON.parse(await readFile(corpusFile("truth.json"), "utf8")) as {
      files: readonly { readonly SourceFile: string }[];
    };
    const paths = files
      .filter((_, i) => i % 5 === 0)
      .map(({ SourceFile }) => corpusFile(SourceFile));
    const here = await rowsOf(paths, { place: 0 }, { processes: false });
    expect(await rowsOf(paths, { place: 0 }, { processes: true })).toEqual(here);
    expect(here.filter(({ fall }) => fall).length).toBeGreaterThan(20);
  });
});

test("a relative path is one from where this process is now", SLOW, async () => {
  const names = ["here.jpg", "there.jpg"];
  const before = process.cwd();
  try {
    for (const name of names) {
      const place = join(folder, `of ${name}`);
      await mkdir(place);
      await flat(118).jpeg().toFile(join(place, name));
      process.chdir(place);
      const { file, failure } = await gradeFrame(name, {}, { processes: true });
      expect({ file, failure }).toEqual({ file: name, failure: null });
    }
  } finally {
    process.chdir(before);
  }
});

describe("a grading process", () => {
  afterEach(() => {
    vi.unstubAllEnvs();
  });

  test("runs what this process runs: the sources here", SLOW, async () => {
    await delay(UNTIL_ALL_ENDED);
    const note = join(folder, "scripts.txt");
    const script = `
      import { appendFileSync } from "node:fs";
      if (process.send) appendFileSync(${JSON.stringify(note)}, process.argv[1] + "\\n");`;
    vi.stubEnv("NODE_OPTIONS", await beforeItsScript(script));
    const picture = join(HARBOUR, "01-tarred-hull-as-metered.jpg");
    const [row] = await rowsOf([picture], { place: 0 }, { processes: true });
    expect(row?.failure).toBeNull();
    const scripts = new Set((await readFile(note, "utf8")).trim().split("\n"));
    expect([...scripts]).toEqual([
      resolve(import.meta.dirname, "../packages/grader/src/run/gradingProcess.ts"),
    ]);
  });
});

test("a set is checked by other processes as it is by this one", SLOW, async () => {
  const set = join(HARBOUR, "set.yaml");
  const here = await checkSet(set, { processes: false });
  expect(await checkSet(set, { processes: true })).toEqual(here);
  expect(here.summary.failing).toBe(0);
});

describe("a process that fails", () => {
  afterEach(() => {
    vi.unstubAllEnvs();
  });

  const shoot = async (...names: string[]): Promise<string[]> => {
    await delay(UNTIL_ALL_ENDED);
    const paths = names.map((name) => join(folder, name));
    for (const path of paths) await flat(118).withExif(METERED_EXIF).jpeg().toFile(path);
    return paths;
  };

  test("by a signal costs its own frame, which says so, and is replaced", SLOW, async () => {
    const paths = await shoot("1.jpg", "deadly.jpg", "2.jpg", "3.jpg", "4.jpg");
    vi.stubEnv(
      "NODE_OPTIONS",
      await beforeEachFrame(`if (path.includes("deadly")) process.kill(process.pid, "SIGKILL");`),
    );
    const rows = await rowsOf(paths, { place: 0 }, { processes: true, jobs: 1 });
    const [, deadly] = rows;
    expect(deadly).toMatchObject({
      file: paths[1],
      verdict: null,
      failure: { code: "decode-failed", message: expect.stringContaining("SIGKILL") },
    });
    const others = rows.filter((row) => row !== deadly);
    expect(others.map(({ failure, verdict }) => ({ failure, verdict }))).toEqual(
      others.map(() => ({ failure: null, verdict: "within" })),
    );
  });

  test("to answer in its time is ended", SLOW, async () => {
    const paths = await shoot("hangs.jpg", "5.jpg");
    vi.stubEnv("NODE_OPTIONS", await beforeEachFrame(`while (path.includes("hangs"));`));
    const rows = await rowsOf(paths, { place: 0 }, { processes: true, timeLimitSeconds: 2 });
    expect(rows.map(({ failure }) => failure?.code ?? null)).toEqual(["took-too-long", null]);
  });

  test("to start at all costs nothing: frames are graded in this one", SLOW, async () => {
    const paths = await shoot("6.jpg", "7.jpg");
    vi.stubEnv("NODE_OPTIONS", await beforeItsScript("if (process.send) process.exit(1);"));
    const rows = await rowsOf(paths, { place: 0 }, { processes: true });
    expect(rows.map(({ verdict }) => verdict)).toEqual(["within", "within"]);
  });

  test("to see its parent's end does not outlive it: it ends too", SLOW, async () => {
    const big = join(folder, "big shoot");
    await mkdir(big);
    for (let i = 0; i < 12; i++) {
      const path = join(big, `${i}.jpg`);
      await flat(118).jpeg().toFile(path);
      // Zeros after the picture, which decoders pass over: a long run by its bytes.
      await truncate(path, 25e6);
    }
    const beats = join(folder, "beats");
    const slowly = await beforeEachFrame(`
      setInterval(() => fs.appendFileSync(${JSON.stringify(beats)}, "+"), 50);
      const end = Date.now() + 400;
      while (Date.now() < end);`);
    const beaten = async (): Promise<number> =>
      (await readFile(beats).catch(() => new Uint8Array())).length;
    for (const signal of ["SIGKILL", "SIGINT"] as const) {
      await rm(beats, { force: true });
      const { code, signal: endedBy } = await runTonefall(["grade", "--no-cache", big], {
        env: { NODE_OPTIONS: slowly },
        meanwhile: async (child) => {
          while ((await beaten()) === 0) await delay(20);
          child.kill(signal);
        },
      });
      expect(endedBy ?? code).toBe(signal === "SIGINT" ? 130 : signal);
      await delay(1000);
      const last = await beaten();
      await delay(500);
      expect(await beaten()).toBe(last);
    }
  });
});

describe("whether a run is graded by processes of its own", () => {
  const files = async (count: number, bytes: number): Promise<string[]> => {
    const paths = Array.from({ length: count }, (_, i) => join(folder, `${bytes} ${i}.jpg`));
    for (const path of paths) {
      await appendFile(path, "");
      await truncate(path, bytes);
    }
    return paths;
  };

  test.each([
    [40, 10e6, true],
    [40, 1e6, false],
    [1, 400e6, false],
    [0, 0, false],
  ])("%i files of %d bytes: %s", async (count, bytes, long) => {
    expect(await lastsLong(await files(count, bytes))).toBe(long);
  });

  test("raw files have threads of their own", async () => {
    const raws = await files(40, 10e6);
    raws[20] = join(folder, "one.DNG");
    expect(await lastsLong(raws)).toBe(false);
  });

  test("bytes, and paths that lead nowhere, stay in this one", async () => {
    expect(await lastsLong(Array(40).fill(new Uint8Array(10e6)))).toBe(false);
    expect(await lastsLong(Array(40).fill(join(folder, "nowhere")))).toBe(false);
  });

  test("bytes are graded here, whatever was asked", async () => {
    const row = await gradeFrame(await flat(118).jpeg().toBuffer(), {}, { processes: true });
    expect(row.failure).toBeNull();
  });
});
