import { readFileSync, writeFileSync } from "node:fs";

/** Rows as a Markdown table whose columns stand under each other. */
export function alignedTable(
  head: readonly string[],
  rows: readonly (readonly string[])[],
): string {
  const widths = head.map((_, i) => Math.max(...[head, ...rows].map((row) => `${row[i]}`.length)));
  const line = (cells: readonly string[], fill = " "): string =>
    `| ${cells.map((cell, i) => cell.padEnd(widths[i] ?? 0, fill)).join(" | ")} |`;
  const rule = head.map(() => "-");
  return [line(head), line(rule, "-"), ...rows.map((row) => line(row))].join("\n");
}

/** Puts a text between two marks of a file; the first ends its line. */
export function keepBetween(
  file: URL,
  [from, to]: readonly [from: string, to: string],
  text: string,
): void {
  const old = readFileSync(file, "utf8");
  const marked = new RegExp(`(?<=${from}\\n)[\\s\\S]*?(?= *${to})`);
  if (!marked.test(old)) throw new Error(`Expected the marks of ${from} in ${file}`);
  writeFileSync(
    file,
    old.replace(marked, () => text),
  );
}
