/** Rows as a Markdown table; cells are text, so what Markdown or HTML would read as markup is escaped. */
export function markdownTable(
  head: readonly string[],
  rows: readonly (readonly string[])[],
): string {
  return [markdownHead(head), ...rows.map(markdownLine)].join("");
}

/** The head of a {@link markdownTable}. */
export function markdownHead(head: readonly string[]): string {
  return line(head) + line(head.map(() => "---"));
}

/** One row of a {@link markdownTable}. */
export function markdownLine(cells: readonly string[]): string {
  return line(cells.map(escapeMarkdown));
}

function line(cells: readonly string[]): string {
  return `| ${cells.join(" | ")} |\n`;
}

function escapeMarkdown(text: string): string {
  return text
    .replace(/\s+/g, " ")
    .replace(/[\\`*_[\]|~$]/g, "\\$&")
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;");
}
