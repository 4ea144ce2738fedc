import { REFLECTED_METER_K } from "@tonefall/tone-core";
import type { MeterResult } from "../run/meterFrame.ts";
import { failureTable, headline, noteTable, type Paint } from "./gradeTable.ts";
import { cellText, lightText, type MeterRow, meterRows, patternText } from "./meterRows.ts";
import { sharedFolder } from "./sharedFolder.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";
import { safeText } from "./words.ts";

/** Metered frames as a table for a terminal, with the light their settings suit, failures and notes below. */
export function meterTable(
  frames: readonly MeterResult[],
  options: { readonly width: number; readonly paint: Paint },
): string {
  const style: TableStyle = { width: options.width, heading: options.paint.strong };
  const folder = sharedFolder(frames.map(({ file }) => file));
  const name = ({ file }: MeterResult): string => safeText(file.slice(folder.length));
  const bases = [...new Set(frames.map(({ basis }) => basis).filter((basis) => basis !== null))];
  const oneBasis = bases.length === 1 ? (bases[0] ?? null) : null;
  const once = (cell: (frame: MeterResult) => string) => (row: MeterRow) =>
    row.first ? cell(row.frame) : "";
  const columns: Column<MeterRow>[] = [
    { title: "Frame", cell: once(name), shrinksTo: 16, wraps: "anywhere" },
    { title: "Fell", cell: once(({ fall }) => cellText(fall)), align: "right" },
    { title: "Pattern", cell: patternText },
    { title: "Reads", cell: ({ reading }) => cellText(reading), align: "right" },
    {
      title: "Fall if followed",
      cell: ({ reading }) => cellText(reading?.fallIfFollowed),
      align: "right",
    },
    ...(oneBasis ? [] : [{ title: "Basis", cell: once(({ basis }) => basis ?? "-") }]),
  ];
  const sections = [
    headline(folder, oneBasis),
    textTable(columns, meterRows(frames), style),
    lightTable(frames, style, name),
    failureTable(frames, style, name),
    noteTable(frames, style),
  ];
  return `${sections.filter((section) => section !== "").join("\n\n")}\n`;
}

function lightTable(
  frames: readonly MeterResult[],
  style: TableStyle,
  name: (frame: MeterResult) => string,
): string {
  const lit = frames.filter(({ light }) => light);
  if (lit.length === 0) return "";
  const columns: Column<MeterResult>[] = [
    { title: "Light", cell: name, shrinksTo: 16, wraps: "anywhere" },
    {
      title: `At ISO 100, at middle grey (K ${REFLECTED_METER_K}), usual for; no verdict`,
      cell: lightText,
      shrinksTo: 24,
    },
  ];
  return textTable(columns, lit, style);
}
