import type { CheckedSet, CheckResult, CheckRow } from "../../model/checkResult.ts";
import { safeText } from "../../model/words.ts";
import { rowPlace, rowText } from "./checkWords.ts";

/**
 * A check as JUnit XML: a test suite a set, a test case a claim, what missed a failure and what was not run an error.
 * It keeps to what all published schemas of the format have in common.
 *
 * @param at - when it was checked
 */
export function checkJunit({ sets }: CheckResult, at: Date): string {
  const timestamp = at.toISOString().slice(0, 19);
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    "<testsuites>",
    ...sets.map((set, id) => suite(set, id, timestamp)),
    "</testsuites>",
    "",
  ].join("\n");
}

function suite(set: CheckedSet, id: number, timestamp: string): string {
  const failing = set.rows.filter(({ fails }) => fails);
  const errors = failing.filter(isError).length;
  const head = attributes({
    name: set.name,
    package: set.file,
    id,
    timestamp,
    hostname: "localhost",
    tests: set.rows.length,
    failures: failing.length - errors,
    errors,
    time: 0,
  });
  return [
    `  <testsuite${head}>`,
    `    <properties><property${attributes({ name: "set", value: set.file })}/></properties>`,
    ...set.rows.map((row) => testCase(set, row)),
    "    <system-out></system-out>",
    "    <system-err></system-err>",
    "  </testsuite>",
  ].join("\n");
}

function testCase(set: CheckedSet, row: CheckRow): string {
  const head = attributes({ classname: `${set.file}.${row.kind}`, name: row.id, time: 0 });
  if (!row.fails) return `    <testcase${head}/>`;
  const element = isError(row) ? "error" : "failure";
  const told = attributes({ type: row.code, message: row.sentence });
  const body = `${rowPlace({ set, row })}: ${rowText({ set, row })}`;
  return `    <testcase${head}><${element}${told}>${escaped(body)}</${element}></testcase>`;
}

function isError({ outcome }: CheckRow): boolean {
  return outcome === "not run";
}

function attributes(values: Readonly<Record<string, string | number>>): string {
  return Object.entries(values)
    .map(([name, value]) => ` ${name}="${escaped(String(value))}"`)
    .join("");
}

function escaped(text: string): string {
  return safeText(text)
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;");
}
