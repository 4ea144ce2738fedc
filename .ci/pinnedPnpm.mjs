import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";

const manifest = JSON.parse(readFileSync(new URL("../package.json", import.meta.url), "utf8"));
const [pinned] = manifest.packageManager.split("+");
const windows = process.platform === "win32";

/**
 * Runs the pnpm that "packageManager" in package.json pins, through npx, so that a clone needs only Node and npm.
 *
 * @param {readonly string[]} words
 * @param {import("node:child_process").SpawnSyncOptions} options
 */
export function pinnedPnpm(words, options) {
  const run = spawnSync(
    windows ? "npx.cmd" : "npx",
    ["--yes", `--package=${pinned}`, "--", "pnpm", ...words],
    {
      shell: windows,
      ...options,
      // The version is pinned: neither npm nor pnpm has news to tell.
      env: {
        ...process.env,
        npm_config_update_notifier: "false",
        pnpm_config_update_notifier: "false",
      },
    },
  );
  if (run.error) throw run.error;
  return run;
}
