import { spawnSync } from "node:child_process";
import { existsSync, openSync } from "node:fs";
import { mkdir, readdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { COMMAND, endedWell, tonefall } from "../command.mjs";

const HARBOUR = fileURLToPath(new URL("../../../samples/harbour", import.meta.url));

const FRAME = join(HARBOUR, "01-tarred-hull-as-metered.jpg");

/** What was written before: a run that does not end well leaves it as it is. */
const BEFORE = '{\n  "schemaVersion": 1,\n  "frames": []\n}\n';
const PAGE_BEFORE = '<!doctype html>\n<meta name="generator" content="Tonefall">\n';

/**
 * Sends a signal to a process that runs as soon as something is so.
 *
 * @param {import("node:child_process").ChildProcess} child
 * @param {NodeJS.Signals} signal
 * @param {() => Promise<boolean>} isSo
 */
async function killWhen(child, signal, isSo) {
  while (child.exitCode === null && child.signalCode === null && !(await isSo())) {
    await new Promise((soon) => setTimeout(soon, 2));
  }
  child.kill(signal);
}

/**
 * Places to write that fail, readers that leave, and runs that are ended.
 *
 * @type {readonly import("../trial.mjs").Fault[]}
 */
export const outputFaults = [
  {
    name: "stdout on a full disk",
    promise: "one line of error, exit code 2",
    run: async () => {
      if (!existsSync("/dev/full")) return { skipped: "no /dev/full here" };
      const run = await tonefall(["tones"], {
        stdio: ["ignore", openSync("/dev/full", "w"), "pipe"],
      });
      const held = run.code === 2 && /^tonefall: [^\n]+ENOSPC[^\n]+\n$/.test(run.stderr);
      return { held, what: `exit ${run.code}: ${run.stderr.trim()}` };
    },
  },
  {
    name: "--output and --report on a full disk",
    promise: "one line of error, exit code 2, the file as it was, nothing left beside it",
    run: async ({ folder }) => {
      const mounted = spawnSync("mount", ["-t", "tmpfs", "-o", "size=64k", "tmpfs", folder]);
      if (mounted.status !== 0) return { skipped: "no right to mount a small disk" };
      try {
        const target = join(folder, "result.json");
        await writeFile(join(folder, "ballast"), Buffer.alloc(48 * 1024));
        const results = [];
        for (const [before, ...words] of [
          [BEFORE, "-f", "json", "-o", target],
          [PAGE_BEFORE, "--report", target],
        ]) {
          await writeFile(target, before);
          const run = await tonefall(["grade", FRAME, "--histograms", ...words]);
          const same = (await readFile(target, "utf8")) === before;
          const left = (await readdir(folder)).length - 2;
          const held = run.code === 2 && endedWell(run) && same && left === 0;
          results.push({
            held,
            what: `exit ${run.code}, ${same ? "as it was" : "changed"}, ${left} left`,
          });
        }
        return {
          held: results.every(({ held }) => held),
          what: results.map(({ what }) => what).join("; "),
        };
      } finally {
        spawnSync("umount", [folder]);
      }
    },
  },
  {
    name: "a reader that stops early",
    promise: "exit code 0, nothing on stderr",
    run: async () => {
      const shell = `"${process.execPath}" "${COMMAND}" grade "${HARBOUR}" -r spot -f ndjson | head -c 1; echo "\${PIPESTATUS[0]}"`;
      const { stdout, stderr } = spawnSync("bash", ["-c", shell], { encoding: "utf8" });
      return { held: stdout === "{0\n" && stderr === "", what: `exit ${stdout.slice(1).trim()}` };
    },
  },
  ...Object.entries({ SIGINT: 130, SIGTERM: 143, SIGHUP: 129, SIGKILL: null }).map(
    ([signal, code]) => ({
      slow: signal !== "SIGINT",
      name: `${signal} in the middle of a run`,
      promise:
        signal === "SIGKILL"
          ? "the file is as it was"
          : `exit code ${code}, the file is as it was, nothing beside it`,
      /** @param {import("../trial.mjs").Trial} trial */
      run: async ({ folder }) => {
        const target = join(folder, "result.json");
        await mkdir(folder, { recursive: true });
        await writeFile(target, BEFORE);
        const words = ["grade", HARBOUR, "-f", "json", "-o", target, "-j", "1", "--no-cache"];
        const run = await tonefall(words, {
          meanwhile: (child) =>
            killWhen(child, /** @type {NodeJS.Signals} */ (signal), async () =>
              (await readdir(folder)).some((name) => name.endsWith(".part")),
            ),
        });
        const same = (await readFile(target, "utf8")) === BEFORE;
        const left = (await readdir(folder)).length - 1;
        // Nobody can tidy up after SIGKILL; what it leaves goes after a day.
        const ended =
          signal === "SIGKILL" ? run.signal === signal : run.code === code && left === 0;
        return {
          held: ended && same,
          what: `${run.signal ?? `exit ${run.code}`}, ${same ? "as it was" : "changed"}, ${left} left`,
        };
      },
    }),
  ),
  {
    slow: true,
    name: "SIGKILL again and again, the run taken up each time",
    promise: "in the end the bytes of a run left alone, no frame graded twice",
    run: async ({ folder }) => {
      /**
       * @param {string} name
       * @param {(child: import("node:child_process").ChildProcess) => unknown} [meanwhile]
       */
      const grade = (name, meanwhile = () => {}) =>
        tonefall(
          [
            ...["grade", HARBOUR, "--place", "-1", "--voice", "student", "-j", "2", "--no-cache"],
            ...["--resume", join(folder, `${name}.journal`)],
            ...["-f", "json", "-o", join(folder, `${name}.json`)],
          ],
          { meanwhile },
        );
      /** @param {string} name */
      const left = (name) => readFile(join(folder, name), "utf8").catch(() => "");
      const rows = async () => (await left("killed.journal")).match(/^\{"key":"\w+"/gm) ?? [];
      await grade("alone");
      let kills = 0;
      for (let run = null; run?.code !== 0 && kills < 40; ) {
        const before = (await rows()).length;
        const wanted = before + 1 + (kills % 4);
        run = await grade("killed", (child) =>
          killWhen(child, "SIGKILL", async () => (await rows()).length >= wanted),
        );
        if (run.signal === "SIGKILL") kills++;
        else if (run.code !== 0) return { held: false, what: run.stderr.trim() };
      }
      const kept = await rows();
      const twice = kept.length - new Set(kept).size;
      const same = (await left("killed.json")) === (await left("alone.json"));
      return {
        held: kills > 2 && same && twice === 0,
        what: `${kills} times killed, ${kept.length} rows, ${twice} twice, ${same ? "the same bytes" : "other bytes"}`,
      };
    },
  },
];
