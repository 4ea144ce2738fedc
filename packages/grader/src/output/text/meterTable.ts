import { REFLECTED_METER_K } from "@tonefall/tone-core";
import { decidedText, safeText, stopsText } from "../../model/words.ts";
import type { MeterResult } from "../../run/meterFrame.ts";
import { failureTable, headline, noteTable } from "./gradeTable.ts";
import {
  cellText,
  isRecorded,
  lightText,
  type MeteredFrame,
  type MeterRow,
  meterRows,
} from "./meterRows.ts";
import { type RowWriter, writtenAtEnd } from "./rowWriter.ts";
import { sharedFolder } from "./sharedFolder.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";

/** Metered frames as a table for a terminal, with the light their settings suit, failures and notes below. */
export function meterTable(style: TableStyle): RowWriter<MeterResult> {
  return writtenAtEnd(tableRow, (frames) => tableOf(frames, style));
}

function tableRow(frame: MeterResult): MeteredFrame {
  const { file, basis, region, fall, error, readings, split, light, notes, failure, exposure } =
    frame;
  const { next } = frame;
  const { meteringPattern } = exposure ?? {};
  return {
    ...{ file, basis, region, fall, error, readings, split, light, notes, failure, next },
    exposure: meteringPattern ? { meteringPattern } : null,
  };
}

function tableOf(frames: readonly MeteredFrame[], style: TableStyle): string {
  const folder = sharedFolder(frames.map(({ file }) => file));
  const name = ({ file }: MeteredFrame): string => safeText(file.slice(folder.length));
  const bases = [...new Set(frames.map(({ basis }) => basis).filter((basis) => basis !== null))];
  const oneBasis = bases.length === 1 ? (bases[0] ?? null) : null;
  const once = (cell: (frame: MeteredFrame) => string) => (row: MeterRow) =>
    row.first ? cell(row.frame) : "";
  const columns: Column<MeterRow>[] = [
    { title: "Frame", cell: once(name), shrinksTo: 16, wraps: "anywhere" },
    { title: "Fell", cell: once(({ fall }) => cellText(fall)), align: "right" },
    { title: "Pattern", cell: markedPattern },
    { title: "Reads", cell: ({ reading }) => cellText(reading), align: "right" },
    {
      title: "If followed",
      cell: ({ reading }) => cellText(reading?.fallIfFollowed),
      align: "right",
    },
    ...(oneBasis ? [] : [{ title: "Basis", cell: once(({ basis }) => basis ?? "-") }]),
  ];
  const sections = [
    [headline(folder, oneBasis), LEGEND].filter((line) => line !== "").join("\n"),
    textTable(columns, frames.flatMap(meterRows), style),
    splitTable(frames, style, name),
    lightTable(frames, style, name),
    failureTable(frames, style, name),
    noteTable(frames, style),
  ];
  return `${sections.filter((section) => section !== "").join("\n\n")}\n`;
}

const LEGEND = "* the pattern that the file records; ~ an estimate";

function markedPattern(row: MeterRow): string {
  const { frame, reading } = row;
  if (!reading) return frame.failure ? "not metered" : "-";
  const marks = [isRecorded(row) ? "*" : "", reading.estimate ? "~" : ""];
  return [reading.pattern, ...marks].filter((part) => part !== "").join(" ");
}

function splitTable(
  frames: readonly MeteredFrame[],
  style: TableStyle,
  name: (frame: MeteredFrame) => string,
): string {
  const split = frames.filter((frame) => frame.split);
  if (split.length === 0) return "";
  const columns: Column<MeteredFrame>[] = [
    { title: "Split of the miss", cell: name, shrinksTo: 16, wraps: "anywhere" },
    {
      title: "Error",
      cell: ({ error }) => (error ? decidedText(error) : "-"),
      align: "right",
    },
    { title: "Meter", cell: meterText },
    {
      title: "Comp.",
      cell: ({ split }) => compensationText(split?.compensationStops ?? null),
      align: "right",
    },
    {
      title: "Wanted",
      cell: ({ split, next }) =>
        next?.reason === "too-far-to-tell"
          ? "meter again"
          : cellText(split?.wantedCompensationStops),
      align: "right",
    },
  ];
  return textTable(columns, split, style);
}

function compensationText(stops: number | null): string {
  return stops === null ? "-" : stopsText(stops);
}

function meterText({ split }: MeteredFrame): string {
  if (split?.departureStops) return `left by ${cellText(split.departureStops)}`;
  return split?.needleStops ? `needle at ${cellText(split.needleStops)}` : "-";
}

function lightTable(
  frames: readonly MeteredFrame[],
  style: TableStyle,
  name: (frame: MeteredFrame) => string,
): string {
  const lit = frames.filter(({ light }) => light);
  if (lit.length === 0) return "";
  const columns: Column<MeteredFrame>[] = [
    { title: "Light", cell: name, shrinksTo: 16, wraps: "anywhere" },
    {
      title: `Settings suit (K ${REFLECTED_METER_K})`,
      cell: lightText,
      shrinksTo: 24,
    },
  ];
  return textTable(columns, lit, style);
}
