import type { CheckedSet, CheckResult, CheckRow } from "../../model/checkResult.ts";
import { messageText, safeText } from "../../model/words.ts";
import {
  checkOutcomeText,
  checkSummaryText,
  type ReadableRow,
  readableRows,
  readableSentence,
} from "./checkWords.ts";
import type { Paint } from "./frameTable.ts";
import { shortened } from "./shortened.ts";
import { type Column, type TableStyle, textTable, varyingColumns } from "./textTable.ts";
import { textWidth } from "./textWidth.ts";

/** A check as tables for a terminal: all claims first, then the reason for each that was not kept. */
export function checkTable(
  { sets, summary }: CheckResult,
  { width, paint }: { readonly width: number; readonly paint: Paint },
): string {
  const style: TableStyle = { width, heading: paint.strong };
  const outcome = (row: CheckRow): string =>
    row.fails ? paint.over(checkOutcomeText(row)) : checkOutcomeText(row);
  const all: Column<ReadableRow>[] = [
    { title: "Claim", cell: ({ row }) => safeText(row.id), shrinksTo: 20, gives: "shortens" },
    { title: "Expected", cell: ({ row }) => safeText(row.expected), shrinksTo: 12 },
    { title: "Measured", cell: ({ row }) => safeText(row.measured ?? "-"), shrinksTo: 12 },
    {
      title: "Outcome",
      cell: ({ row }) => outcome(row),
      inHeading: (value) => `Every claim below: ${value}`,
    },
  ];
  const remarks: Column<ReadableRow>[] = [
    {
      title: "Not kept",
      cell: ({ row: { id, line } }) => `${safeText(id)} (line ${line})`,
      shrinksTo: 20,
      gives: "shortens",
    },
    {
      title: "",
      cell: (readable) =>
        messageText({ message: readableSentence(readable), code: readable.row.code }),
      shrinksTo: 24,
    },
  ];
  const parts = (set: CheckedSet): string[] => {
    // Files as pinned and of their kit need no row; only the others do.
    const rows = readableRows({ sets: [set] });
    const claims = rows.filter(
      ({ row: { kind, outcome } }) => outcome !== "kept" || (kind !== "pin" && kind !== "kit"),
    );
    const open = rows.filter(({ row }) => row.outcome !== "kept");
    const { columns, said } = varyingColumns(all, claims);
    return [
      [titleOf(set, width), ...said].join("\n"),
      claims.length > 0 ? textTable(columns, claims, style) : "No claim to show.",
      ...(open.length > 0 ? [textTable(remarks, open, style)] : []),
    ];
  };
  const sections = [...sets.flatMap(parts), checkSummaryText(sets.length, summary)];
  return `${sections.join("\n\n")}\n`;
}

/** A set's name and file, on a line each where they do not fit on one. */
function titleOf({ name, file }: CheckedSet, width: number): string {
  const title = `${safeText(name)}, ${safeText(file)}`;
  if (textWidth(title) <= width) return title;
  return [name, file].map((text) => shortened(safeText(text), width)).join("\n");
}
