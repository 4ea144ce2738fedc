/** Where the style stands a row's cells below each other. */
const NARROW = "(max-width: 64rem)";

/**
 * Prepares tables for windows that are narrower than they are: each cell says of which column it is, and what is laid out
 * otherwise stays a table to those who hear it.
 */
export function stackedTables(): void {
  const narrow = matchMedia(NARROW);
  const prepare = (): void => {
    if (!narrow.matches) return;
    for (const table of document.querySelectorAll<HTMLTableElement>(
      "table:is(.frames, .claims, .matrix):not(.stacks)",
    )) {
      stack(table);
    }
  };
  prepare();
  narrow.addEventListener("change", prepare);
  document.addEventListener("drawn", prepare);
}

function stack(table: HTMLTableElement): void {
  const headings = [...(table.tHead?.rows[0]?.cells ?? [])].map(
    ({ dataset, textContent }) => dataset["short"] ?? textContent,
  );
  table.classList.add("stacks");
  table.setAttribute("role", "table");
  for (const group of table.querySelectorAll("thead, tbody, tfoot"))
    group.setAttribute("role", "rowgroup");
  for (const row of table.rows) {
    row.setAttribute("role", "row");
    for (const cell of row.cells) {
      cell.setAttribute("role", roleOf(cell));
      if (cell.tagName === "TD" && cell.colSpan === 1) {
        cell.dataset["label"] = headings[cell.cellIndex] ?? "";
      }
    }
  }
}

function roleOf({ tagName, scope }: HTMLTableCellElement): string {
  if (tagName === "TD") return "cell";
  return scope === "row" ? "rowheader" : "columnheader";
}
