import { expect, test } from "vitest";
import type { CheckResult } from "../../model/checkResult.ts";
import { checkTable } from "./checkTable.ts";

const as = (text: string): string => text;
const PLAIN = { strong: as, over: as, under: as, faint: as };

/** The lines of a check of one set without claims. */
function linesOf(name: string, file: string, width: number): readonly string[] {
  const result = {
    sets: [{ name, file, rows: [] }],
    summary: { kept: 0, missed: 0, undecided: 0, notRun: 0, failing: 0, claims: 0 },
  } as unknown as CheckResult;
  return checkTable(result, { width, paint: PLAIN }).split("\n");
}

test("a set's name and file share a line where they fit, and are shortened on two where they do not", () => {
  expect(linesOf("Harbour", "set.yaml", 60)[0]).toBe("Harbour, set.yaml");
  const far = `/${"a folder with a long name/".repeat(5)}set.yaml`;
  const [name, file] = linesOf("Harbour", far, 60);
  expect(name).toBe("Harbour");
  expect(file?.length).toBe(60);
  expect(file).toMatch(/^\/a folder.*…/);
});
