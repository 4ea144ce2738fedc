import { spawnSync } from "node:child_process";
import { resolve } from "node:path";
import { expect, test } from "vitest";
import { corpus, imageMagick, vips } from "./outside.mjs";

const BENCH = resolve(import.meta.dirname, "../packages/grader/bench/grade.bench.mjs");

/** Columns that a part's table has at least. */
const COLUMNS: Record<string, readonly string[]> = {
  accuracy: ["precision", "figure", "error, most", "as stated"],
  growth: ["what", "wall, ratio", "processor, ms a megapixel"],
  memory: ["mode"],
  modes: ["mode", "wall, ratio", "processor, ratio", "wall, ms a frame"],
  peers: ["what", "wall, ms a frame"],
  raw: ["mode", "wall, ratio", "processor, ratio"],
  records: ["what", "wall, ms a frame"],
};

/** Rows without figures, by how they begin, where what they measure is no part of this repository and not here. */
const NOT_MEASURED = [
  { row: "cameras' own", of: corpus },
  { row: "ImageMagick", of: imageMagick() },
  { row: "vips", of: vips() },
].flatMap(({ row, of }) => (of.path ? [] : [row]));

/** Rows of a Markdown table as cells, the head first and without the line below it. */
function cells(table: string): string[][] {
  const rows = table.split("\n").filter((line) => line.startsWith("|"));
  const split = (row: string): string[] =>
    row
      .slice(1, -1)
      .split("|")
      .map((cell) => cell.trim());
  return rows.filter((_, i) => i !== 1).map(split);
}

test("a short benchmark runs every part and prints finite figures", { timeout: 300_000 }, () => {
  const run = spawnSync(process.execPath, [BENCH, "--short"], { encoding: "utf8" });
  expect(run.stderr).toBe("");
  expect(run.status).toBe(0);
  const [machine, ...parts] = run.stdout.split("\n## ");
  expect(machine).toMatch(/processors, Node v\d/);
  const printed = new Map(parts.map((part) => [part.split("\n")[0] as string, cells(part)]));
  for (const [part, columns] of Object.entries(COLUMNS)) {
    const [head, ...rows] = printed.get(part) ?? [];
    expect(head, part).toEqual(expect.arrayContaining([...columns]));
    expect(rows.length, part).toBeGreaterThan(0);
    for (const row of rows) {
      expect(row.length).toBe(head?.length);
      // The first cells are names; of the others, whatever begins with a figure is one, and none is NaN or infinite.
      expect(row.join(" ")).not.toMatch(/NaN|Infinity|undefined/);
      const measured = row.slice(1).some((cell) => /^-?\d/.test(cell));
      expect(measured, row.join(" ")).toBe(
        !NOT_MEASURED.some((begin) => row[0]?.startsWith(begin)),
      );
    }
  }
});

test("the benchmark refuses a part that is not there, and to keep a short run", () => {
  for (const args of [["no-such-part"], ["--short", "--write"]]) {
    const { status, stderr } = spawnSync(process.execPath, [BENCH, ...args], { encoding: "utf8" });
    expect(status).toBe(2);
    expect(stderr.split("\n")).toHaveLength(2);
  }
});
