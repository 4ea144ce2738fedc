// Reads vitest's reports of both runs, prints why tests were skipped, and closes with the count. What failed outside
// vitest (lint, build, packaging, a run that was ended) counts as one failure a run. Arguments: a report and the exit
// code of its run, for each run.
import { readFileSync } from "node:fs";

/** @typedef {{ fullName: string, status: string }} Test */
/** @typedef {{ status: string, assertionResults: Test[] }} TestFile */
/** @typedef {{ passed: number, failed: number, skipped: string[] }} Run */

/** @type {Run[]} */
const runs = [];
for (let i = 2; i < process.argv.length; i += 2) {
  runs.push(tallied(process.argv[i], process.argv[i + 1]));
}

/** @type {Map<string, number>} */
const reasons = new Map();
for (const reason of runs.flatMap(({ skipped }) => skipped)) {
  reasons.set(reason, (reasons.get(reason) ?? 0) + 1);
}
for (const [reason, count] of [...reasons].sort(([, a], [, b]) => b - a)) {
  console.log(`skipped ${count}: ${reason}`);
}

/** @param {(run: Run) => number} count */
const total = (count) => runs.reduce((sum, run) => sum + count(run), 0);
const failed = total((run) => run.failed);
console.log(
  `${total((run) => run.passed)} passed, ${failed} failed, ${total((run) => run.skipped.length)} skipped`,
);
process.exitCode = failed === 0 ? 0 : 1;

/**
 * @param {string} report
 * @param {string} exitCode
 * @returns {Run}
 */
function tallied(report, exitCode) {
  const { passed, failed, skipped } = counted(report);
  return { passed, failed: exitCode !== "0" && failed === 0 ? 1 : failed, skipped };
}

/**
 * @param {string} report
 * @returns {Run}
 */
function counted(report) {
  /** @type {TestFile[]} */
  let files;
  try {
    files = JSON.parse(readFileSync(report, "utf8")).testResults;
  } catch {
    // No report: the run ended before its tests did, whatever it says of itself.
    return { passed: 0, failed: 1, skipped: [] };
  }
  const tests = files.flatMap(({ assertionResults }) => assertionResults);
  // A file that cannot even be loaded has no test that could fail.
  const broken = files.filter(
    ({ status, assertionResults }) => status === "failed" && assertionResults.length === 0,
  );
  const passed = tests.filter(({ status }) => status === "passed").length;
  const failures = tests.filter(({ status }) => status === "failed").length;
  const skipped = tests.filter(({ status }) => status !== "passed" && status !== "failed");
  return { passed, failed: failures + broken.length, skipped: skipped.map(reasonOf) };
}

/**
 * A title names its reason, that of its suite included: see test/outside.mjs.
 *
 * @param {Test} test
 */
function reasonOf({ fullName }) {
  return /\(skipped: ([^)]*)\)/.exec(fullName)?.[1] ?? `no reason given: ${fullName}`;
}
