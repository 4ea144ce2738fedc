import { spawnSync } from "node:child_process";
import { resolve } from "node:path";
import { expect, test } from "vitest";

/**
 * Loads the built tone-core into a context that has nothing but JavaScript itself: no process, no require, no Node or
 * browser global. An import of anything but its own modules fails.
 */
const LOADER = `
import { readFileSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { createContext, SourceTextModule } from "node:vm";

const [entry] = process.argv.slice(1);
const context = createContext({});
const loaded = new Map();
const load = (path) => {
  if (!loaded.has(path)) {
    loaded.set(path, new SourceTextModule(readFileSync(path, "utf8"), { context, identifier: path }));
  }
  return loaded.get(path);
};
const link = (specifier, from) => {
  if (!specifier.startsWith(".")) throw new Error("imports " + specifier);
  return load(resolve(dirname(from.identifier), specifier));
};
const core = load(entry);
await core.link(link);
await core.evaluate();
const { stopsBetween, parseRegion, rasteriseRegion, tallyTone, SRGB, transferTable, verdict } = core.namespace;
const table = transferTable(SRGB, 256);
const raster = {
  width: 2, height: 1, stride: 1, samples: Uint8Array.of(118, 118),
  channels: [{ name: "grey", luminance: table, clipCode: 255, crushCode: 0 }],
};
const tally = tallyTone(raster, rasteriseRegion(parseRegion("whole"), { width: 2, height: 1, orientation: 1 }));
const fall = stopsBetween(tally.luminanceSum / tally.pixels);
console.log(JSON.stringify({
  fall,
  verdict: verdict({ error: fall, uncertainty: 0.05, tolerance: 1 / 3 }).verdict,
  modules: loaded.size,
}));
`;

test("tone-core's build runs in a bare JavaScript context", () => {
  const packages = resolve(import.meta.dirname, "../packages/tone-core");
  const run = spawnSync(
    process.execPath,
    [
      "--experimental-vm-modules",
      "--no-warnings",
      "--input-type=module",
      "--eval",
      LOADER,
      resolve(packages, "dist/index.js"),
    ],
    { encoding: "utf8" },
  );
  expect(run.stderr).toBe("");
  const { fall, verdict, modules } = JSON.parse(run.stdout);
  expect(fall).toBeCloseTo(0.0093, 3);
  expect(verdict).toBe("within");
  expect(modules).toBeGreaterThan(10);
});
