// Tries to break Tonefall by the list of faults, with fixed seeds, and prints what happened. Exit code 1 when a promise
// was broken; what broke it lies in reports/torture then. DEVELOPERS.md tells how it is called.
import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { corpus } from "../outside.mjs";
import { bombFaults } from "./faults/bombs.mjs";
import { decoderFaults } from "./faults/decoders.mjs";
import { fileSystemFaults } from "./faults/fileSystem.mjs";
import { fileFaults } from "./faults/files.mjs";
import { memoryFaults } from "./faults/memories.mjs";
import { outputFaults } from "./faults/output.mjs";
import { textFaults } from "./faults/texts.mjs";

const HELP = `Usage: npm run torture -- [options]

  --short          fewer damaged files, and without the slow faults
  --seed <number>  of the damage (default: 1)
  --only <text>    faults whose name holds this text
  --list           the faults and what is promised, nothing run`;

const { values } = parseArgs({
  options: {
    short: { type: "boolean", default: false },
    seed: { type: "string", default: "1" },
    only: { type: "string", default: "" },
    list: { type: "boolean", default: false },
    help: { type: "boolean", short: "h", default: false },
  },
});

/** @typedef {import("./trial.mjs").Fault} Fault */

/** @type {readonly Fault[]} */
const ALL = [
  ...fileFaults,
  ...bombFaults,
  ...decoderFaults,
  ...fileSystemFaults,
  ...memoryFaults,
  ...outputFaults,
  ...textFaults,
];

const FAULTS = ALL.filter(({ name }) =>
  name.toLowerCase().includes(values.only.toLowerCase()),
).filter(({ slow }) => !(slow && values.short));

const KEPT = fileURLToPath(new URL("../../reports/torture/", import.meta.url));

/** @type {import("./trial.mjs").Trial["keep"]} */
async function keep(name, bytes) {
  await mkdir(KEPT, { recursive: true });
  await writeFile(join(KEPT, name.slice(0, 120)), bytes);
}

/**
 * @param {Fault} fault
 * @returns {Promise<import("./trial.mjs").Outcome>}
 */
async function tried({ run }) {
  const folder = await mkdtemp(join(tmpdir(), "tonefall torture "));
  try {
    return await run({
      folder,
      keep,
      corpus: corpus.path,
      short: values.short,
      seed: Number(values.seed),
    });
  } catch (error) {
    return {
      held: false,
      what: "the trial itself broke off",
      broken: [error instanceof Error ? String(error.stack) : String(error)],
    };
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

const WIDTH = Math.max(...FAULTS.map(({ name }) => name.length));

/**
 * @param {string} verdict
 * @param {string} name
 * @param {string | undefined} what
 */
function line(verdict, name, what) {
  process.stdout.write(`${verdict.padEnd(8)}  ${name.padEnd(WIDTH)}  ${what}\n`);
}

if (values.help) process.stdout.write(`${HELP}\n`);
else if (values.list) for (const { name, promise } of FAULTS) line("promised", name, promise);
else {
  const count = { held: 0, BROKEN: 0, skipped: 0 };
  line("Verdict", "Fault", "What happened");
  for (const fault of FAULTS) {
    const { held, what, skipped, broken = [] } = await tried(fault);
    const verdict = skipped ? "skipped" : held ? "held" : "BROKEN";
    count[verdict]++;
    line(verdict, fault.name, skipped ?? what);
    if (verdict === "BROKEN") line("", "promised:", fault.promise);
    for (const fact of broken.slice(0, 10)) line("", "", fact);
  }
  const totals = Object.entries(count).map(([verdict, n]) => `${n} ${verdict.toLowerCase()}`);
  process.stdout.write(`\n${FAULTS.length} faults, seed ${values.seed}: ${totals.join(", ")}\n`);
  if (count.BROKEN > 0) {
    process.stdout.write(`What broke a promise lies in ${KEPT}\n`);
    process.exitCode = 1;
  }
}
