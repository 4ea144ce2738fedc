/** Rows as a Markdown table; cells are text, so what Markdown or HTML would read as markup is escaped. */
export function markdownTable(
  head: readonly string[],
  rows: readonly (readonly string[])[],
): string {
  const line = (cells: readonly string[]): string => `| ${cells.join(" | ")} |`;
  return [
    line(head),
    line(head.map(() => "---")),
    ...rows.map((cells) => line(cells.map(escapeMarkdown))),
    "",
  ].join("\n");
}

function escapeMarkdown(text: string): string {
  return text
    .replace(/\s+/g, " ")
    .replace(/[\\`*_[\]|~$]/g, "\\$&")
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;");
}
