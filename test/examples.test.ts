import { execFile } from "node:child_process";
import { join, resolve } from "node:path";
import { promisify } from "node:util";
import { expect, test } from "vitest";

const ROOT = resolve(import.meta.dirname, "..");
const HARBOUR = "samples/harbour";

/** What an example prints. The one for Vitest is run with the tests. */
async function printed(example: string, ...args: string[]): Promise<string> {
  const run = promisify(execFile)(process.execPath, [join("examples", example), ...args], {
    cwd: ROOT,
  });
  return (await run).stdout;
}

test("grade-stream prints a verdict a picture", async () => {
  const frames = ["01-tarred-hull-as-metered.jpg", "02-tarred-hull-corrected.jpg", "gone.jpg"];
  const paths = frames.map((name) => `${HARBOUR}/${name}`);
  const lines = (await printed("grade-stream.mjs", "tar", ...paths)).split("\n");
  expect(lines[0]).toBe(`${paths[0]}: over (1.63)`);
  expect(lines[1]).toBe(`${paths[1]}: within (0.00)`);
  expect(lines[2]).toContain(`${paths[2]}: `);
});

test("meter-patterns prints what each pattern reads", async () => {
  const text = await printed("meter-patterns.mjs", `${HARBOUR}/15-doorway-average.jpg`);
  // The frame was exposed by its average.
  expect(text).toMatch(/^average +-?0\.0\d$/m);
  expect(text).toMatch(/^multi-segment .* an estimate$/m);
});

test("raw-histogram prints every channel of the sensor", async () => {
  const text = await printed("raw-histogram.mjs", `${HARBOUR}/29-slip-and-boathouse.dng`);
  expect(text.match(/^(?:red|green 1|green 2|blue): black 512, white 15872/gm)).toHaveLength(4);
  expect(text.match(/^ +-8 /gm)).toHaveLength(4);
});
