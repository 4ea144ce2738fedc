import { PassThrough } from "node:stream";
import { expect, test } from "vitest";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";

async function* items(count: number): AsyncGenerator<number> {
  for (let i = 0; i < count; i++) {
    // Longer than the bar waits between two drawings.
    await new Promise((soon) => setTimeout(soon, 60));
    yield i;
  }
}

/** Passes items through, with stderr a terminal or not; gives them and all that was written there. */
async function watched(
  isTTY: boolean,
  count: number,
  columns = 100,
): Promise<{ seen: number[]; told: string }> {
  const terminal = Object.assign(new PassThrough(), { isTTY, columns });
  const streams: Streams = { stdout: { write: () => true }, stderr: terminal, env: {} };
  const seen: number[] = [];
  for await (const item of withProgress(items(count), count, streams)) seen.push(item);
  terminal.end();
  let told = "";
  for await (const chunk of terminal) told += chunk;
  return { seen, told };
}

test("withProgress shows count, rate and time left on a terminal", async () => {
  const { seen, told } = await watched(true, 8);
  expect(seen).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
  expect(told).toMatch(/[1-7] of 8 frames, \d+(\.\d)? a second, \d+ s left/);
});

test("withProgress shows no rate before there is one, and all of it in 60 columns", async () => {
  const { told } = await watched(true, 8, 60);
  expect(told).toContain("0 of 8 frames");
  expect(told).not.toMatch(/[01] of 8 frames,|NaN|Infinity|undefined/);
  expect(told).toMatch(/[2-7] of 8 frames, \d+(\.\d)? a second, \d+ s left/);
});

test("withProgress writes nothing where there is no terminal, and for a single frame", async () => {
  expect((await watched(false, 3)).told).toBe("");
  expect((await watched(true, 1)).told).toBe("");
});
