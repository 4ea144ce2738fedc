import type { CheckedSet, CheckResult, CheckRow } from "../set/checkResult.ts";
import { checkOutcomeText, checkSummaryText } from "./checkWords.ts";
import type { Paint } from "./gradeTable.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";
import { messageText, safeText } from "./words.ts";

/** A check as tables for a terminal: every claim, then what is to be said of those that were not kept. */
export function checkTable(
  { sets, summary }: CheckResult,
  { width, paint }: { readonly width: number; readonly paint: Paint },
): string {
  const style: TableStyle = { width, heading: paint.strong };
  const outcome = (row: CheckRow): string =>
    row.fails ? paint.over(checkOutcomeText(row)) : checkOutcomeText(row);
  const columns: Column<CheckRow>[] = [
    { title: "Claim", cell: ({ id }) => safeText(id), shrinksTo: 20, wraps: "anywhere" },
    { title: "Expected", cell: ({ expected }) => safeText(expected), shrinksTo: 12 },
    { title: "Measured", cell: ({ measured }) => safeText(measured ?? "-"), shrinksTo: 12 },
    { title: "Outcome", cell: outcome },
  ];
  const remarks: Column<CheckRow>[] = [
    {
      title: "Not kept",
      cell: ({ id, line }) => `${safeText(id)} (line ${line})`,
      shrinksTo: 20,
      wraps: "anywhere",
    },
    {
      title: "",
      cell: ({ sentence, code }) => messageText({ message: sentence, code }),
      shrinksTo: 24,
    },
  ];
  const parts = (set: CheckedSet): string[] => {
    // That a file is as pinned and of its kit goes without saying; only otherwise is it told.
    const claims = set.rows.filter(
      ({ kind, outcome }) => outcome !== "kept" || (kind !== "pin" && kind !== "kit"),
    );
    const open = set.rows.filter((row) => row.outcome !== "kept");
    return [
      `${safeText(set.name)}, ${safeText(set.file)}`,
      claims.length > 0 ? textTable(columns, claims, style) : "No claim to show.",
      ...(open.length > 0 ? [textTable(remarks, open, style)] : []),
    ];
  };
  const sections = [...sets.flatMap(parts), checkSummaryText(sets.length, summary)];
  return `${sections.join("\n\n")}\n`;
}
