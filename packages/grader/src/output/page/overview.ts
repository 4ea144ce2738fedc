import { decidedError } from "../../model/decidedError.ts";
import {
  boundedStopsText,
  decidedText,
  errorText,
  outcomeText,
  placementText,
  settingsText,
} from "../../model/words.ts";
import { summarise, summaryText } from "../text/summarise.ts";
import { type Content, html, type Markup } from "./markup.ts";
import type { PageFrame } from "./pageFrame.ts";
import type { AddressOf } from "./reportPages.ts";
import { sortableTable, type TableRow } from "./sortableTable.ts";
import { stripPlot } from "./stripPlot.ts";
import { thumbnail } from "./thumbnail.ts";
import { CAUSE_WORDS, VERDICT_MARKS } from "./wording.ts";

/** So many frames are named first. */
const FIRST = 6;

/** What needs eyes first, counts, every error at one glance, and a table to sort and filter. */
export function overview(frames: readonly PageFrame[], addressOf: AddressOf): Markup {
  const rows = frames.map(({ row }) => row);
  const strip = stripPlot({
    title: "Every frame's exposure error",
    summary: `In stops; the grey band is each frame's tolerance. ${summaryText(summarise(rows))}. The table below holds the figures.`,
    along: "frame, in the order of the run",
    points: rows.map(({ error, tolerance, verdict }) => ({
      error: error && { ...decidedError(error), uncertainty: error.uncertainty },
      tolerance,
      verdict,
    })),
  });
  return html`<section id="overview" aria-labelledby="overview-title"><h2 id="overview-title">Overview</h2>
${counts(frames)}
${lookFirst(frames, addressOf)}
${strip && html`<div class="strip" role="region" aria-label="Every frame's exposure error, a plot" tabindex="0">${strip}</div>`}
${frameTable(frames, addressOf)}
</section>`;
}

function counts(frames: readonly PageFrame[]): Markup {
  const summary = summarise(frames.map(({ row }) => row));
  const tiles: [number, string, string][] = [
    [summary.over, "lighter", "over"],
    [summary.under, "darker", "under"],
    [summary.within, "within", "within"],
    [summary.undecided, "cannot tell", "undecided"],
    [summary.withoutPlacement, "measured only", "none"],
    [summary.failed, "not graded", "none"],
  ];
  return html`<ul class="counts">${tiles
    .filter(([count]) => count > 0)
    .map(
      ([count, word, verdict]) =>
        html`<li class="${verdict}"><span class="count">${count}</span> <span class="mark" aria-hidden="true">${VERDICT_MARKS[verdict] ?? ""}</span> ${word}</li>`,
    )}</ul>`;
}

function lookFirst(frames: readonly PageFrame[], addressOf: AddressOf): Markup | null {
  const urgency = ({ row }: PageFrame): number => {
    if (row.failure) return 100;
    const size = Math.abs(row.error ? decidedError(row.error).stops : 0);
    if (row.verdict === "over" || row.verdict === "under") return 10 + size;
    return row.verdict === "undecided" ? 1 + size : 0;
  };
  const first = frames
    .map((frame) => ({ frame, urgency: urgency(frame) }))
    .filter((one) => one.urgency > 0)
    .sort((a, b) => b.urgency - a.urgency || a.frame.number - b.frame.number)
    .slice(0, FIRST);
  if (first.length === 0) return null;
  return html`<section class="first" aria-labelledby="first-title"><h3 id="first-title">Look at these first</h3><ul>${first.map(
    ({ frame }) =>
      html`<li><a class="tile" href="${addressOf(frame)}">${thumbnail(frame.thumbnail)}<span class="name">${frame.name}</span><span class="${frame.row.verdict ?? "none"}">${outcome(frame)}</span></a></li>`,
  )}</ul></section>`;
}

function outcome({ row }: PageFrame): Content {
  return row.error ? `${outcomeText(row)} ${decidedText(row.error)}` : outcomeText(row);
}

function frameTable(frames: readonly PageFrame[], addressOf: AddressOf): Markup {
  return sortableTable({
    caption: "Every frame",
    unit: "frames",
    columns: [
      ["No.", "number"],
      ["Frame", "text"],
      ["Settings", "number"],
      ["Pattern", "text"],
      ["Placed", "number"],
      ["Fell", "number"],
      ["Error, stops", "number"],
      ["Verdict", "text"],
      ["Cause", "text"],
    ],
    filters: ["Verdict", "Cause", "Folder", "Metering pattern"],
    rows: frames.map((frame) => tableRow(frame, addressOf)),
  });
}

function tableRow(frame: PageFrame, addressOf: AddressOf): TableRow {
  const { row, number, name, id } = frame;
  const { placement, fall, error } = row;
  return {
    cards: [id],
    named: name,
    filters: [verdictOf(frame), causeOf(frame), frame.folder, patternOf(frame)],
    cells: [
      [number, number],
      [html`<a href="${addressOf(frame)}">${name}</a>`, name],
      [settingsText(row.exposure), row.givenExposure],
      [patternOf(frame) || "-", patternOf(frame)],
      [placement ? placementText(placement) : "-", placement?.from ?? null],
      [fall ? boundedStopsText(fall) : "-", fall?.stops ?? null],
      [error ? errorText(error) : "-", error ? decidedError(error).stops : null],
      [html`<span class="${row.verdict ?? "none"}">${outcomeText(row)}</span>`, verdictOf(frame)],
      [causeOf(frame) || "-", causeOf(frame)],
    ],
  };
}

function verdictOf({ row }: PageFrame): string {
  return outcomeText(row).replace(/^[▲▼] /, "");
}

function causeOf({ row }: PageFrame): string {
  const code = row.causes[0]?.code;
  return code ? CAUSE_WORDS[code] : "";
}

function patternOf({ row }: PageFrame): string {
  return row.exposure?.meteringPattern.value ?? "";
}
