import XMLBuilder from "fast-xml-builder";
import type { CheckedSet, CheckResult, CheckRow } from "../../model/checkResult.ts";
import { safeText } from "../../model/words.ts";
import { rowPlace, rowText } from "./checkWords.ts";

/** An element as the builder reads it: keys that begin with `@` are attributes, `#text` is what it holds. */
type Element = Readonly<Record<string, unknown>>;

const builder = new XMLBuilder({
  attributeNamePrefix: "@",
  format: true,
  ignoreAttributes: false,
  suppressBooleanAttributes: false,
  suppressEmptyNode: true,
});

/**
 * A check as JUnit XML: a test suite for each set, a test case for each claim, what was not kept a failure and what was not
 * run an error. It uses what all published schemas of the format have in common.
 *
 * @param at - when it was checked
 */
export function checkJunit({ sets }: CheckResult, at: Date): string {
  const timestamp = at.toISOString().slice(0, 19);
  return builder.build({
    "?xml": attributes({ version: "1.0", encoding: "UTF-8" }),
    testsuites: { testsuite: sets.map((set, id) => suite(set, id, timestamp)) },
  });
}

function suite(set: CheckedSet, id: number, timestamp: string): Element {
  const failing = set.rows.filter(({ fails }) => fails);
  const errors = failing.filter(isError).length;
  return {
    ...attributes({
      name: set.name,
      package: set.file,
      id,
      timestamp,
      hostname: "localhost",
      tests: set.rows.length,
      failures: failing.length - errors,
      errors,
      time: 0,
    }),
    properties: { property: attributes({ name: "set", value: set.file }) },
    testcase: set.rows.map((row) => testCase(set, row)),
    "system-out": "",
    "system-err": "",
  };
}

function testCase(set: CheckedSet, row: CheckRow): Element {
  const head = attributes({ classname: `${set.file}.${row.kind}`, name: row.id, time: 0 });
  if (!row.fails) return head;
  const failure = {
    ...attributes({ type: row.code, message: row.sentence }),
    "#text": `${rowPlace({ set, row })}: ${rowText({ set, row })}`,
  };
  return { ...head, [isError(row) ? "error" : "failure"]: failure };
}

function isError({ outcome }: CheckRow): boolean {
  return outcome === "not run";
}

function attributes(values: Readonly<Record<string, string | number>>): Element {
  return Object.fromEntries(
    Object.entries(values).map(([name, value]) => [`@${name}`, safeText(String(value))]),
  );
}
