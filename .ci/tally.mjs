// Reads vitest's report and prints the closing line; what failed outside vitest (lint, build, packaging) counts as one.
import { readFileSync } from "node:fs";

const [report, status] = process.argv.slice(2);
let passed = 0;
let failed = 0;
try {
  const { numPassedTests, numFailedTests, testResults } = JSON.parse(readFileSync(report, "utf8"));
  passed = numPassedTests;
  // A file that cannot even be loaded has no test that could fail.
  const broken = testResults.filter(
    ({ status: result, assertionResults }) => result === "failed" && assertionResults.length === 0,
  );
  failed = numFailedTests + broken.length;
} catch {
  // No report: the run ended before the tests.
}
if (status !== "0" && failed === 0) failed = 1;
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed === 0 ? 0 : 1;
