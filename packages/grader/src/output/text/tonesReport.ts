import { type ChartTone, TONE_CHART, toneFromStops } from "@tonefall/tone-core";
import { placementText } from "../../model/words.ts";
import { csv } from "./csv.ts";
import { markdownTable } from "./markdownTable.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";

const COMMON_PRACTICE = "common practice";

const COLUMNS: readonly Column<ChartTone>[] = [
  { title: "Tone", cell: ({ name }) => name },
  { title: "Placed, stops", cell: placementText },
  { title: "Reflects", cell: reflectanceText, align: "right" },
  {
    title: "Means",
    cell: ({ title, remark }) => (remark ? `${title}. ${remark}` : title),
    shrinksTo: 24,
  },
];

/** The tone chart as a table for a terminal. */
export function tonesTable(style: TableStyle): string {
  const foot =
    "Starting points only: wet and dry, sun and shade differ. A brief overrides any\n" +
    "of them. Stops are relative to middle grey, 18 %; positive is lighter.";
  return `${textTable(COLUMNS, TONE_CHART, style)}\n\n${foot}\n`;
}

/** The tone chart as a Markdown table. */
export function tonesMarkdown(): string {
  return markdownTable(
    [...COLUMNS.map(({ title }) => title), "Source"],
    TONE_CHART.map((tone) => [...COLUMNS.map(({ cell }) => cell(tone)), sourceText(tone)]),
  );
}

/** The tone chart as comma-separated values. */
export function tonesCsv(): string {
  return csv(
    ["tone", "title", "from_stops", "to_stops", "aliases", "remark", "source"],
    TONE_CHART.map((tone) => [
      tone.name,
      tone.title,
      tone.from,
      tone.to,
      tone.aliases.join(" "),
      tone.remark,
      sourceText(tone),
    ]),
  );
}

/** The tone chart as plain objects, with the reflectance of each placement. */
export function tonesData(): object[] {
  return TONE_CHART.map((tone) => ({
    ...tone,
    source: sourceText(tone),
    reflectance: {
      from: toneFromStops(tone.from).reflectance,
      to: toneFromStops(tone.to).reflectance,
    },
  }));
}

function sourceText({ source }: ChartTone): string {
  return source ?? COMMON_PRACTICE;
}

function reflectanceText({ from, to }: ChartTone): string {
  const percent = (stops: number): string =>
    String(Math.round(100 * toneFromStops(stops).reflectance));
  return from === to ? `${percent(from)} %` : `${percent(from)}-${percent(to)} %`;
}
