import { mkdir, mkdtemp, readFile, rm, utimes, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { decodeAhead } from "../picture/rendered/aheadOfTime.ts";
import { rowCache } from "../run/memory/rowCache.ts";
import { EXIT } from "./exitCodes.ts";
import { headStart } from "./headStart.ts";

vi.mock("../picture/rendered/aheadOfTime.ts", () => ({ decodeAhead: vi.fn(async () => {}) }));

let home: string;
let frame: string;
let brief: string;

beforeEach(async () => {
  home = await mkdtemp(join(tmpdir(), "tonefall head start "));
  await mkdir(join(home, "rows"));
  frame = join(home, "frame.jpg");
  brief = join(home, "brief.yaml");
  await writeFile(frame, "a picture");
  await writeFile(brief, "place: 0\n");
});

afterEach(async () => {
  await rm(home, { recursive: true });
});

/** How many frames a run begins ahead of time; it then ends with a code. */
async function begun(words: readonly string[], code: number = EXIT.ok, cache = home) {
  vi.mocked(decodeAhead).mockClear();
  const ended = await headStart(words, { env: { TONEFALL_CACHE: cache } });
  await ended(code);
  return vi.mocked(decodeAhead).mock.calls.flatMap(([paths]) => paths).length;
}

test("a run that is in the cache decodes nothing ahead", async () => {
  const words = ["grade", frame, "--brief", brief];
  expect(await begun(words)).toBe(1);
  expect(await begun(words)).toBe(0);
  expect(await begun(["grade", home, "--brief", brief])).toBe(1);
  expect(await begun(["grade", frame])).toBe(1);
  // All of them are still known.
  expect(await begun(words)).toBe(0);
});

test("frames, folders and briefs that changed are decoded ahead again", async () => {
  const words = ["grade", home, "--brief", brief];
  await begun(words);
  await utimes(frame, 1, 1);
  expect(await begun(words)).toBe(1);
  await writeFile(join(home, "another.jpg"), "another");
  expect(await begun(words)).toBe(2);
  await writeFile(brief, "place: 1\nregion: spot\n");
  expect(await begun(words)).toBe(2);
  expect(await begun(words)).toBe(0);
});

test("a run that failed, that keeps no rows, or whose rows are gone is decoded ahead", async () => {
  expect(await begun(["grade", frame], EXIT.unreadable)).toBe(1);
  expect(await begun(["grade", frame], EXIT.missed)).toBe(1);
  expect(await begun(["grade", frame])).toBe(0);
  expect(await begun(["grade", frame], EXIT.ok, "")).toBe(1);
  await rowCache(join(home, "rows")).clear();
  expect(await begun(["grade", frame])).toBe(1);
  for (const words of [
    ["grade", frame, "--no-cache"],
    ["meter", frame],
  ]) {
    expect(await begun(words)).toBe(1);
    expect(await begun(words)).toBe(1);
  }
});

test("of the files no name is kept, and nothing else is written over", async () => {
  const noted = join(home, "rows", "last-runs");
  await begun(["grade", frame]);
  expect(await readFile(noted, "utf8")).toMatch(/^[0-9a-f]{64}\n$/);
  await writeFile(noted, "somebody's list\n");
  expect(await begun(["grade", frame])).toBe(1);
  expect(await readFile(noted, "utf8")).toBe("somebody's list\n");
});
