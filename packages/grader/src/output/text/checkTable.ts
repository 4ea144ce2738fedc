import type { CheckedSet, CheckResult, CheckRow } from "../../model/checkResult.ts";
import { messageText, safeText } from "../../model/words.ts";
import {
  checkOutcomeText,
  checkSummaryText,
  type ToldRow,
  toldRows,
  toldSentence,
} from "./checkWords.ts";
import type { Paint } from "./gradeTable.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";

/** A check as tables for a terminal: every claim, then what is to be said of those that were not kept. */
export function checkTable(
  { sets, summary }: CheckResult,
  { width, paint }: { readonly width: number; readonly paint: Paint },
): string {
  const style: TableStyle = { width, heading: paint.strong };
  const outcome = (row: CheckRow): string =>
    row.fails ? paint.over(checkOutcomeText(row)) : checkOutcomeText(row);
  const columns: Column<ToldRow>[] = [
    { title: "Claim", cell: ({ row }) => safeText(row.id), shrinksTo: 20, wraps: "anywhere" },
    { title: "Expected", cell: ({ row }) => safeText(row.expected), shrinksTo: 12 },
    { title: "Measured", cell: ({ row }) => safeText(row.measured ?? "-"), shrinksTo: 12 },
    { title: "Outcome", cell: ({ row }) => outcome(row) },
  ];
  const remarks: Column<ToldRow>[] = [
    {
      title: "Not kept",
      cell: ({ row: { id, line } }) => `${safeText(id)} (line ${line})`,
      shrinksTo: 20,
      wraps: "anywhere",
    },
    {
      title: "",
      cell: (told) => messageText({ message: toldSentence(told), code: told.row.code }),
      shrinksTo: 24,
    },
  ];
  const parts = (set: CheckedSet): string[] => {
    // That a file is as pinned and of its kit goes without saying; only otherwise is it told.
    const told = toldRows({ sets: [set] });
    const claims = told.filter(
      ({ row: { kind, outcome } }) => outcome !== "kept" || (kind !== "pin" && kind !== "kit"),
    );
    const open = told.filter(({ row }) => row.outcome !== "kept");
    return [
      `${safeText(set.name)}, ${safeText(set.file)}`,
      claims.length > 0 ? textTable(columns, claims, style) : "No claim to show.",
      ...(open.length > 0 ? [textTable(remarks, open, style)] : []),
    ];
  };
  const sections = [...sets.flatMap(parts), checkSummaryText(sets.length, summary)];
  return `${sections.join("\n\n")}\n`;
}
