import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { mkdir, readdir, readFile, rm, utimes, writeFile } from "node:fs/promises";
import { join } from "node:path";
import {
  type Brief,
  type FrameResult,
  type GradeOptions,
  gradeFrame,
  gradeFrames,
  type Journal,
  kitsBeside,
  openJournal,
  type RowMemory,
  rowCache,
} from "@tonefall/grader";
import fc from "fast-check";
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { readyBrief } from "../packages/grader/src/brief/brief.ts";
import { claimDigest } from "../packages/grader/src/run/memory/claimDigest.ts";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import { flat, METERED_EXIF, newFolder } from "./pictures.ts";

let folder = "";
let file = "";
let store = "";
let tests = 0;

beforeAll(async () => {
  folder = await newFolder();
  file = join(folder, "frame.jpg");
});
beforeEach(async () => {
  store = join(folder, `store ${++tests}`);
  await flat(118).withExif(METERED_EXIF).jpeg().toFile(file);
  await rm(join(folder, "frame.xmp"), { force: true });
});
afterAll(() => rm(folder, { recursive: true }));

const BRIEF: Brief = { place: -1, region: "spot" };

/** Stands behind another memory, and so counts the frames that were graded. */
function counting(): RowMemory & { graded: number } {
  const counter = {
    graded: 0,
    identify: async () => {
      counter.graded++;
      return null;
    },
    recall: async () => null,
    keep: async () => undefined,
  };
  return counter;
}

/** Grades the file through a memory, and tells how often it was graded for that. */
async function through(
  memory: RowMemory,
  { path = file, brief = BRIEF, ...options }: GradeOptions & { path?: string; brief?: Brief } = {},
): Promise<{ row: FrameResult; graded: number }> {
  const counter = counting();
  const row = await gradeFrame(path, brief, { ...options, memory: [memory, counter] });
  return { row, graded: counter.graded };
}

const text = (row: FrameResult): string => JSON.stringify(row);

describe.each(["cache", "journal"] as const)("a row kept in a %s", (kind) => {
  const opened = async (options: GradeOptions = {}): Promise<RowMemory & Pick<Journal, "close">> =>
    kind === "cache" ? rowCache(store) : openJournal(store, { brief: BRIEF, options });

  test("is that of a frame graded anew, byte for byte, and is not graded again", async () => {
    const memory = await opened();
    const fresh = text(await gradeFrame(file, BRIEF));
    expect((await through(memory)).graded).toBe(1);
    await memory.close();
    const later = await opened();
    const { row, graded } = await through(later);
    expect([text(row), graded]).toEqual([fresh, 0]);
    await later.close();
  });

  test("is not taken for a file whose pixels changed", async () => {
    const memory = await opened();
    await through(memory);
    await flat(60).withExif(METERED_EXIF).jpeg().toFile(file);
    const { row, graded } = await through(memory);
    expect([text(row), graded]).toEqual([text(await gradeFrame(file, BRIEF)), 1]);
    await memory.close();
  });

  test("is not taken where a sidecar came or changed", async () => {
    const memory = await opened();
    await through(memory);
    for (const stops of ["+1", "+2"]) {
      await writeFile(join(folder, "frame.xmp"), sidecar(stops));
      expect((await through(memory)).graded, stops).toBe(1);
    }
    expect((await through(memory)).graded).toBe(0);
    await memory.close();
  });

  test("is not taken for another brief or other options", async () => {
    const memory = await opened();
    await through(memory);
    for (const other of [
      { brief: { ...BRIEF, place: -2 } },
      { brief: { ...BRIEF, tolerance: 0.5 } },
      { histograms: true },
      { middleGrey: 0.12 },
      { meter: { spotShare: 0.1 } },
    ]) {
      expect((await through(memory, other)).graded, JSON.stringify(other)).toBe(1);
    }
    await memory.close();
  });

  test("serves another voice, which is told of the row", async () => {
    const memory = await opened();
    await through(memory);
    const { row, graded } = await through(memory, { voice: "student" });
    expect(graded).toBe(0);
    expect(text(row)).toBe(text(await gradeFrame(file, BRIEF, { voice: "student" })));
    await memory.close();
  });

  test("is never one with a failure: the frame is tried again", async () => {
    const memory = await opened();
    await writeFile(file, "words");
    for (let i = 0; i < 2; i++) {
      const { row, graded } = await through(memory);
      expect([row.failure?.code, graded]).toEqual(["not-a-picture", 1]);
    }
    await rm(file);
    expect((await through(memory)).row.failure?.code).toBe("no-such-file");
    await memory.close();
  });

  test("is not asked for where somebody looks at the pixels", async () => {
    const memory = await opened();
    await through(memory);
    let looks = 0;
    await through(memory, {
      look: async () => {
        looks++;
      },
    });
    expect(looks).toBe(1);
    await memory.close();
  });

  test("of bytes is known by the bytes and carries the name they are given", async () => {
    const memory = await opened();
    const bytes = await readFile(file);
    await gradeFrame(bytes, BRIEF, { memory: [memory] });
    const counter = counting();
    const row = await gradeFrame(bytes, BRIEF, { memory: [memory, counter], name: "week 1" });
    expect([row.file, counter.graded]).toEqual(["week 1", 0]);
    const others = await flat(60).png().toBuffer();
    const other = await gradeFrame(others, BRIEF, { memory: [memory, counter] });
    expect([text(other), counter.graded]).toEqual([text(await gradeFrame(others, BRIEF)), 1]);
    await memory.close();
  });

  test.skipIf(!hasCorpus)(`is that of a real photograph${skippedBecause}`, async () => {
    const { files } = JSON.parse(await readFile(corpusFile("truth.json"), "utf8")) as {
      files: { SourceFile: string }[];
    };
    const paths = files.slice(0, 24).map(({ SourceFile }) => corpusFile(SourceFile));
    const memory = await opened({ histograms: true });
    const rows = async (behind: readonly RowMemory[]): Promise<string[]> => {
      const texts: string[] = [];
      const options = { histograms: true, memory: behind };
      for await (const row of gradeFrames(paths, BRIEF, options)) texts.push(text(row));
      return texts;
    };
    const fresh = await rows([]);
    expect(await rows([memory])).toEqual(fresh);
    const counter = counting();
    expect(await rows([memory, counter])).toEqual(fresh);
    const failed = fresh.filter((row) => JSON.parse(row).failure !== null).length;
    expect(counter.graded).toBe(failed);
    await memory.close();
  });
});

describe("rowCache", () => {
  test("does not wait for a pipe", async ({ skip }) => {
    const pipe = join(folder, "pipe.jpg");
    if (spawnSync("mkfifo", [pipe]).status !== 0) return skip("no mkfifo here");
    const { row } = await through(rowCache(store), { path: pipe });
    expect(row.failure?.code).toBe("cannot-read");
  });

  test("knows a file by its content, under whatever name, and keeps none", async () => {
    const cache = rowCache(store);
    await through(cache);
    const renamed = join(folder, "someone's picture.jpg");
    await writeFile(renamed, await readFile(file));
    const { row, graded } = await through(cache, { path: renamed });
    expect([row.file, graded]).toEqual([renamed.replaceAll("\\", "/"), 0]);
    expect(await filesBelow(store)).not.toHaveLength(0);
    for (const entry of await filesBelow(store)) {
      expect(await readFile(entry, "utf8")).not.toMatch(/frame\.jpg|someone/);
    }
  });

  test("grades anew what was damaged, and mends it", async () => {
    const cache = rowCache(store);
    await through(cache);
    const damages: ((entry: string) => Promise<void>)[] = [
      (entry) => writeFile(entry, '{"file":"","verdict":"within"}'),
      (entry) => writeFile(entry, ""),
      (entry) => rm(entry),
    ];
    for (const part of ["content-", "index-"]) {
      for (const damage of damages) {
        const entries = (await filesBelow(store)).filter((path) => path.includes(part));
        expect(entries.length).toBeGreaterThan(0);
        for (const entry of entries) await damage(entry);
        const { row, graded } = await through(cache);
        expect([text(row), graded]).toEqual([text(await gradeFrame(file, BRIEF)), 1]);
        expect((await through(cache)).graded).toBe(0);
      }
    }
  });

  test("that cannot be written says so once, and the frames are graded", async () => {
    await writeFile(store, "a file where the folder should be");
    const told: string[] = [];
    const cache = rowCache(store, { onTrouble: ({ message }) => told.push(message) });
    for (let i = 0; i < 2; i++) {
      const { row, graded } = await through(cache);
      expect([row.failure, graded]).toEqual([null, 1]);
    }
    await cache.close();
    expect(told).toHaveLength(1);
    expect(await readFile(store, "utf8")).toBe("a file where the folder should be");
  });

  test("stays within its bound by letting the oldest rows go", async () => {
    const mostBytes = 30_000;
    let last = "";
    for (let code = 20; code < 60; code++) {
      last = join(folder, `bound ${code}.png`);
      await flat(code).png().toFile(last);
      // Closed after each, as many short runs would.
      const cache = rowCache(store, { mostBytes });
      await through(cache, { path: last });
      await cache.close();
      expect((await cache.size()).bytes).toBeLessThanOrEqual(1.2 * mostBytes);
    }
    const cache = rowCache(store, { mostBytes });
    expect((await cache.size()).rows).toBeGreaterThan(3);
    expect((await through(cache, { path: last })).graded).toBe(0);
    expect((await through(cache, { path: join(folder, "bound 20.png") })).graded).toBe(1);
    const onDisk = (await filesBelow(store)).filter((path) => path.includes("content-"));
    expect(onDisk.length).toBeLessThanOrEqual((await cache.size()).rows);
  });

  test("clears its own files and leaves what else lies there", async () => {
    const cache = rowCache(store);
    await through(cache);
    await cache.close();
    await writeFile(join(store, "mine.txt"), "mine");
    await cache.clear();
    expect(await readdir(store)).toEqual(["mine.txt"]);
    expect(await cache.size()).toEqual({ rows: 0, bytes: 0 });
  });
});

describe("openJournal", () => {
  const run = { brief: BRIEF, options: {} };

  /** A journal of so many frames, each of its own code. */
  async function journaled(frames: number): Promise<string[]> {
    const paths = Array.from({ length: frames }, (_, i) => join(folder, `frame ${i}.png`));
    for (const [i, path] of paths.entries())
      await flat(40 + i)
        .png()
        .toFile(path);
    await resumed(paths);
    return paths;
  }

  /** Goes over frames with the journal; gives how many were graded. */
  async function resumed(paths: readonly string[]): Promise<number> {
    const journal = await openJournal(store, run);
    const counter = counting();
    for await (const row of gradeFrames(paths, BRIEF, { memory: [journal, counter] }))
      expect(row.failure).toBeNull();
    await journal.close();
    return counter.graded;
  }

  test("wherever it was torn, only what is lost is graded again, and it is whole afterwards", async () => {
    const paths = await journaled(6);
    const whole = await readFile(store);
    const head = whole.indexOf(10) + 1;
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: head, max: whole.length }), async (length) => {
        await writeFile(store, whole.subarray(0, length));
        const kept = whole.subarray(head, length).filter((byte) => byte === 10).length;
        expect(await resumed(paths)).toBe(6 - kept);
        expect(await resumed(paths)).toBe(0);
        expect((await readFile(store)).length).toBe(whole.length);
      }),
      { numRuns: 12, seed: 3, examples: [[head], [head + 1], [whole.length - 1]] },
    );
  });

  test("lines within it that were lost to zeros or noise are graded again", async () => {
    const paths = await journaled(4);
    const lines = (await readFile(store, "utf8")).split("\n");
    const length = lines[2]?.length ?? 0;
    lines[2] = "\0".repeat(length);
    lines[3] = `${lines[3]?.slice(0, 200)}#${lines[3]?.slice(201)}`.replace('"row":{', '"row":[');
    await writeFile(store, lines.join("\n"));
    expect(await resumed(paths)).toBe(2);
    expect(await resumed(paths)).toBe(0);
  });

  test("a file that was only touched is graded again, for its content is not read", async () => {
    const paths = await journaled(2);
    await utimes(paths[0] as string, 1, 1);
    expect(await resumed(paths)).toBe(1);
  });

  test("frames that came since are graded, and those that went do not matter", async () => {
    const paths = await journaled(3);
    const more = join(folder, "more.png");
    await flat(99).png().toFile(more);
    expect(await resumed([paths[2] as string, more])).toBe(1);
  });

  test("is one run's at a time: the other ends with the reason, and no row is lost", async () => {
    const paths = await journaled(1);
    const [first, second] = [await openJournal(store, run), await openJournal(store, run)];
    const others = [40, 50].map((code) => join(folder, `other ${code}.png`)) as [string, string];
    for (const path of others) await flat(90).png().toFile(path);
    await gradeFrame(others[0], BRIEF, { memory: [first] });
    await expect(gradeFrame(others[1], BRIEF, { memory: [second] })).rejects.toMatchObject({
      code: "bad-journal",
      message: expect.stringContaining("another run is writing to it"),
    });
    await gradeFrame(others[1], BRIEF, { memory: [first] });
    await first.close();
    await second.close();
    expect(await resumed([...paths, ...others])).toBe(0);
  });

  test("begins in an empty file", async () => {
    await writeFile(store, "");
    expect(await resumed([file])).toBe(1);
    expect(await resumed([file])).toBe(0);
  });

  test.each([
    ["another brief", { brief: { place: -2 }, options: {} }],
    ["other options", { brief: BRIEF, options: { middleGrey: 0.2 } }],
    ["other options", { brief: BRIEF, options: { kits: [{ file: "kit.yaml", kit: {} }] } }],
    ["other options", { brief: BRIEF, options: { addedLater: "quick" } }],
  ])("that of a run with %s is refused and left alone", async (why, other) => {
    await journaled(1);
    const before = await readFile(store);
    await expect(openJournal(store, other)).rejects.toThrow(
      expect.objectContaining({ code: "bad-journal", message: expect.stringContaining(why) }),
    );
    expect(await readFile(store)).toEqual(before);
  });

  test("that of another version is refused by name", async () => {
    await journaled(1);
    const text = await readFile(store, "utf8");
    const begun = async (from: RegExp, to: string): Promise<void> => {
      const [head = "", ...rows] = text.split("\n");
      const other = head.replace(from, to).replace(/,"sum":"\w+"\}$/, "}");
      const sum = createHash("sha256").update(other).digest("hex");
      await writeFile(store, [other.replace(/\}$/, `,"sum":"${sum}"}`), ...rows].join("\n"));
    };
    await begun(/"version":"[^"]+"/, '"version":"0.0.1+1.abc"');
    await expect(openJournal(store, run)).rejects.toThrow("version 0.0.1+1.abc");
    await begun(/"schemaVersion":1/, '"schemaVersion":9');
    await expect(openJournal(store, run)).rejects.toThrow("version");
  });

  test("with damaged lines, its head among them, gives the rows that are sound, and is sound afterwards", async () => {
    await journaled(1);
    const sound = await readFile(store, "utf8");
    const [head = "", row = ""] = sound.split("\n");
    const flipped = row.replace(/"width":\d/, '"width":7');
    expect(flipped).not.toBe(row);
    await writeFile(store, `${head.replace("journal", "jounral")}\n${flipped}\n\0\0\n${row}\n`);
    const opened = await openJournal(store, run);
    expect([opened.rows, opened.damaged]).toEqual([1, 3]);
    await opened.close();
    expect(await readFile(store, "utf8")).toBe(sound);
  });

  test("what is no journal is refused, a folder and a torn head too", async () => {
    const refused = expect.objectContaining({ code: "bad-journal" });
    for (const content of ["words\n", "words", '{"tonefall":"jour', "{}\n"]) {
      await writeFile(store, content);
      await expect(openJournal(store, run)).rejects.toThrow(refused);
      expect(await readFile(store, "utf8")).toBe(content);
    }
    await rm(store);
    await mkdir(store);
    await expect(openJournal(store, run)).rejects.toThrow(refused);
  });
});

describe("claimDigest", () => {
  const brief = readyBrief(BRIEF);

  test("every part of a brief and every option is in it, one that comes later too", async () => {
    const kits = await kitsBeside([]);
    const options = { histograms: false, middleGrey: 0.1, kits, addedLater: { deep: [1, 2] } };
    const own = claimDigest(brief, options);
    const others = [
      ...Object.keys(brief).map((key) => claimDigest({ ...brief, [key]: "other" }, options)),
      ...Object.keys(options).map((key) => claimDigest(brief, { ...options, [key]: "other" })),
      claimDigest(brief, { ...options, addedLater: { deep: [1, 3] } }),
      claimDigest({ ...brief, later: 1 }, options),
    ];
    expect(new Set([own, ...others]).size).toBe(others.length + 1);
  });

  test("the order of keys, what is left out, functions, and what is told afterwards are not", () => {
    const own = claimDigest(brief, { middleGrey: 0.1, histograms: true });
    const reversed = Object.fromEntries(Object.entries(brief).reverse());
    expect(claimDigest(reversed, { histograms: true, middleGrey: 0.1 })).toBe(own);
    const beside = { jobs: 3, voice: "student", name: "a", memory: [], look: () => undefined };
    expect(claimDigest(brief, { middleGrey: 0.1, histograms: true, ...beside })).toBe(own);
    expect(claimDigest(brief, { middleGrey: 0.1, histograms: true, kits: undefined })).toBe(own);
  });

  test("an option that cannot be told by data is an error, and not passed over", () => {
    expect(() => claimDigest(brief, { middleGrey: Number.NaN })).toThrow();
    expect(() => claimDigest(brief, { within: { look: () => undefined } })).toThrow();
  });
});

function sidecar(stops: string): string {
  return `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:subject><rdf:Bag><rdf:li>tonefall:tolerance=${stops}</rdf:li></rdf:Bag></dc:subject></rdf:Description></rdf:RDF></x:xmpmeta>`;
}

async function filesBelow(path: string): Promise<string[]> {
  const entries = await readdir(path, { recursive: true, withFileTypes: true });
  return entries
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name));
}
