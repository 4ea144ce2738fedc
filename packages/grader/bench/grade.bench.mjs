// What does grading cost, beside something that does less or something else with the same files in the same run? Only
// ratios are worth quoting. `npm run bench` runs every part, `npm run bench -- modes peers` those that are named;
// `--short` runs each on a few small files, to see that it runs; `--write` renews the parts' tables in
// docs/performance.md.
//
// A part is a file in parts/: its `measure({ short })` gives rows, objects whose keys are columns, and `about`, a sentence
// on what was measured. A part that exports `long = true` is left out of a short run.
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { cpus } from "node:os";
import { parseArgs } from "node:util";
import sharp from "sharp";
import { markdownTable } from "../dist/output/text/markdownTable.js";
import { JOBS } from "./timing.mjs";

const PAGE = new URL("../docs/performance.md", import.meta.url);
const PARTS = readdirSync(new URL("parts", import.meta.url))
  .filter((file) => file.endsWith(".mjs"))
  .map((file) => file.replace(".mjs", ""));

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { short: { type: "boolean" }, write: { type: "boolean" } },
});
const unknown = positionals.find((name) => !PARTS.includes(name));
if (unknown !== undefined || (values.short && values.write)) {
  process.stderr.write(
    unknown === undefined
      ? "A short run measures nothing worth keeping: leave --short or --write out\n"
      : `There is no part "${unknown}"; the parts are ${PARTS.join(", ")}\n`,
  );
  process.exit(2);
}

const machine = `${cpus()[0]?.model}, ${JOBS} processors, Node ${process.version}, sharp ${sharp.versions.sharp}`;
process.stdout.write(`${machine}\n`);
for (const name of positionals.length > 0 ? positionals : PARTS) {
  const part = await import(`./parts/${name}.mjs`);
  if (values.short && part.long) continue;
  const { about, rows } = await part.measure({ short: values.short ?? false });
  process.stdout.write(`\n## ${name}\n\n${about}\n\n${table(rows)}`);
  if (values.write) keep(name, `${about}\nMeasured on ${machine}.\n\n${table(rows)}`);
}

/** @param {readonly Readonly<Record<string, string | number>>[]} rows */
function table(rows) {
  const columns = [...new Set(rows.flatMap((row) => Object.keys(row)))];
  return markdownTable(
    columns,
    rows.map((row) => columns.map((column) => `${row[column] ?? ""}`)),
  );
}

/**
 * Puts a part's table between its marks.
 *
 * @param {string} name
 * @param {string} text
 */
function keep(name, text) {
  const page = readFileSync(PAGE, "utf8");
  const [start, end] = [`<!-- ${name} -->\n`, `<!-- end of ${name} -->`];
  const [from, to] = [page.indexOf(start), page.indexOf(end)];
  if (from < 0 || to < from) throw new Error(`docs/performance.md has no marks of ${name}`);
  writeFileSync(PAGE, `${page.slice(0, from + start.length)}\n${text}\n${page.slice(to)}`);
}
