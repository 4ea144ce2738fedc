import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { describe, expect, onTestFinished, test, vi } from "vitest";
import { gradeBytes } from "../browser.ts";
import {
  checkSet,
  gradeFrame,
  gradeFrames,
  meterFrame,
  meterFrames,
  readFrames,
} from "../index.ts";
import { optionsDigest } from "./memory/claimDigest.ts";
import { untilAborted } from "./untilAborted.ts";

const HULL = resolve(
  import.meta.dirname,
  "../../../../samples/harbour/01-tarred-hull-as-metered.jpg",
);

/** A set of one frame. */
function setFile(): string {
  const folder = mkdtempSync(join(tmpdir(), "tonefall aborted "));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  const path = join(folder, "set.yaml");
  writeFileSync(path, "set: one\nframes: { a: { file: a.jpg } }\n");
  return path;
}

/** What runs long, with a signal. */
const CALLS: readonly (readonly [string, (signal: AbortSignal) => Promise<unknown>])[] = [
  ["gradeFrame", (signal) => gradeFrame(HULL, {}, { signal })],
  ["gradeFrame of a Blob", (signal) => gradeFrame(new Blob(["x"]), {}, { signal })],
  ["gradeFrames", (signal) => gradeFrames([HULL], {}, { signal, processes: false }).next()],
  ["meterFrame", (signal) => meterFrame(HULL, {}, { signal })],
  ["meterFrames", (signal) => meterFrames([HULL], {}, { signal, processes: false }).next()],
  ["readFrames", (signal) => readFrames([HULL], { signal }).next()],
  ["checkSet", (signal) => checkSet(setFile(), { signal })],
  ["gradeBytes", (signal) => gradeBytes(new Blob(["x"]), {}, { decoders: {}, signal })],
];

describe("what runs long", () => {
  test.each(CALLS)("ends with the reason of a signal that has aborted: %s", async (_, call) => {
    const reason = new Error("enough");
    await expect(call(AbortSignal.abort(reason))).rejects.toBe(reason);
  });

  test.each(CALLS)("refuses what is no signal: %s", async (_, call) => {
    await expect(call("stop" as unknown as AbortSignal)).rejects.toMatchObject({
      code: "bad-option",
    });
  });
});

test("a frame in work is given up at once", async () => {
  const stopping = new AbortController();
  // The look never ends, so only the signal can end the call.
  const look = (): Promise<void> => {
    stopping.abort();
    return new Promise(() => {});
  };
  const graded = gradeFrame(HULL, {}, { signal: stopping.signal, look });
  await expect(graded).rejects.toMatchObject({ name: "AbortError" });
});

test("a run that is stopped begins no further frame", async () => {
  const stopping = new AbortController();
  let begun = 0;
  const sources = (function* () {
    for (; begun < 20; begun++) yield HULL;
  })();
  const rows = gradeFrames(sources, {}, { signal: stopping.signal, jobs: 1, processes: false });
  expect((await rows.next()).value).toMatchObject({ failure: null });
  stopping.abort();
  await expect(rows.next()).rejects.toMatchObject({ name: "AbortError" });
  expect(begun).toBeLessThan(4);
});

test("a signal that does not abort changes no row and keeps no listener", async () => {
  const { signal } = new AbortController();
  const added = vi.spyOn(signal, "addEventListener");
  const removed = vi.spyOn(signal, "removeEventListener");
  expect(await untilAborted(signal, async () => 7)).toBe(7);
  expect(added).toHaveBeenCalledOnce();
  expect(removed).toHaveBeenCalledWith("abort", added.mock.calls[0]?.[1]);
  expect(optionsDigest({ signal })).toBe(optionsDigest({}));
});
