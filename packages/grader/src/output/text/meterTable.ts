import { REFLECTED_METER_K } from "@tonefall/tone-core";
import { decidedText, stopsText } from "../../model/words.ts";
import type { MeterResult } from "../../run/meterFrame.ts";
import { namesOf } from "./folders.ts";
import {
  basisMark,
  basisText,
  commonestBasis,
  failureTable,
  headline,
  nameColumn,
  noteTable,
} from "./frameTable.ts";
import {
  cellText,
  isRecorded,
  lightText,
  type MeteredFrame,
  type MeterRow,
  meterRows,
} from "./meterRows.ts";
import { type RowWriter, writtenAtEnd } from "./rowWriter.ts";
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
  const { shared, folder, inFolder, whole } = namesOf(frames);
  const commonBasis = commonestBasis(frames);
  const once = (cell: (frame: MeteredFrame) => string) => (row: MeterRow) =>
    row.first ? cell(row.frame) : "";
  const columns: Column<MeterRow>[] = [
    nameColumn("Frame", once(inFolder)),
    { title: "Fell", cell: once(({ fall }) => cellText(fall)), align: "right" },
    {
      title: "Pattern",
      cell: (row) => markedPattern(row) + (row.first ? basisMark(row.frame, commonBasis) : ""),
    },
    { title: "Reads", cell: ({ reading }) => cellText(reading), align: "right" },
    {
      title: "If followed",
      cell: ({ reading }) => cellText(reading?.fallIfFollowed),
      align: "right",
    },
  ];
  const sections = [
    headline(shared, [basisText(frames, commonBasis), LEGEND], style.width),
    textTable(columns, frames.flatMap(meterRows), style, ({ frame }) => folder(frame)),
    splitTable(frames, style, whole),
    lightTable(frames, style, whole),
    failureTable(frames, style, whole),
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
    nameColumn("Split of the miss", name),
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
    nameColumn("Light", name),
    {
      title: `Settings suit (K ${REFLECTED_METER_K})`,
      cell: lightText,
      shrinksTo: 24,
    },
  ];
  return textTable(columns, lit, style);
}
