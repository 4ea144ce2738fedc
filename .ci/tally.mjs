// Reads vitest's reports of both runs, prints why tests were skipped and which failed, and closes with the count. What
// failed outside vitest (lint, build, packaging, a run that was ended) counts as one failure a run. Arguments: a report
// and the exit code of its run, for each run.
import { readFileSync } from "node:fs";

/** @typedef {{ fullName: string, status: string, failureMessages?: string[] }} Test */
/** @typedef {{ name: string, status: string, message?: string, assertionResults: Test[] }} TestFile */
/** @typedef {{ passed: number, failed: string[], skipped: string[] }} Run */

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
const failures = runs.flatMap(({ failed }) => failed);
for (const failure of failures) console.log(`failed: ${failure}`);
console.log(
  `${total((run) => run.passed)} passed, ${failures.length} failed, ${total((run) => run.skipped.length)} skipped`,
);
process.exitCode = failures.length === 0 ? 0 : 1;

/**
 * @param {string} report
 * @param {string} exitCode
 * @returns {Run}
 */
function tallied(report, exitCode) {
  const run = counted(report);
  if (exitCode === "0" || run.failed.length > 0) return run;
  return { ...run, failed: [`outside the tests, with exit code ${exitCode}`] };
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
    return { passed: 0, failed: [`no report of tests in ${report}`], skipped: [] };
  }
  const tests = files.flatMap(({ assertionResults }) => assertionResults);
  // A file that cannot even be loaded has no test that could fail.
  const broken = files.filter(
    ({ status, assertionResults }) => status === "failed" && assertionResults.length === 0,
  );
  const passed = tests.filter(({ status }) => status === "passed").length;
  const failures = tests
    .filter(({ status }) => status === "failed")
    .map(({ fullName, failureMessages = [] }) => `${fullName}: ${shortened(failureMessages[0])}`);
  const skipped = tests.filter(({ status }) => status !== "passed" && status !== "failed");
  const unloaded = broken.map(({ name, message }) => `${name}: ${shortened(message)}`);
  return { passed, failed: [...failures, ...unloaded], skipped: skipped.map(reasonOf) };
}

/**
 * The first lines of a message: enough to know what happened where only the end of the output is kept.
 *
 * @param {string | undefined} message
 */
function shortened(message = "no message") {
  return message.split("\n").slice(0, 4).join(" ").slice(0, 400);
}

/**
 * A title names its reason, that of its suite included: see test/outside.mjs.
 *
 * @param {Test} test
 */
function reasonOf({ fullName }) {
  return /\(skipped: ([^)]*)\)/.exec(fullName)?.[1] ?? `no reason given: ${fullName}`;
}
