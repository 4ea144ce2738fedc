import { summarise } from "../report/summarise.ts";
import {
  boundedStopsText,
  errorText,
  outcomeText,
  placementText,
  settingsText,
} from "../report/words.ts";
import { type Content, html, type Markup } from "./markup.ts";
import type { PageFrame } from "./pageFrame.ts";
import { stripPlot } from "./stripPlot.ts";
import { CAUSE_WORDS, VERDICT_MARKS } from "./wording.ts";

/** So many frames are named first. */
const FIRST = 6;

/** What needs eyes first, counts, every error at one glance, and a table to sort and filter. */
export function overview(frames: readonly PageFrame[]): Markup {
  const strip = stripPlot(frames.map(({ row }) => row));
  return html`<section id="overview" aria-labelledby="overview-title"><h2 id="overview-title">Overview</h2>
${counts(frames)}
${lookFirst(frames)}
${strip && html`<div class="strip" role="region" aria-label="Every frame's exposure error, a plot" tabindex="0">${strip}</div>`}
${frameTable(frames)}
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

function lookFirst(frames: readonly PageFrame[]): Markup | null {
  const urgency = ({ row }: PageFrame): number => {
    if (row.failure) return 100;
    const size = Math.abs(row.error?.stops ?? 0);
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
      html`<li><a href="${address(frame)}">${thumbnail(frame)}<span class="name">${frame.name}</span><span class="${frame.row.verdict ?? "none"}">${outcome(frame)}</span></a></li>`,
  )}</ul></section>`;
}

function thumbnail({ view }: PageFrame): Markup {
  const picture = view?.thumbnail;
  if (!picture) return html`<span class="thumb"></span>`;
  return html`<span class="thumb"><img src="${picture.source}" alt="" width="${picture.width}" height="${picture.height}"></span>`;
}

function outcome({ row }: PageFrame): Content {
  return row.error ? `${outcomeText(row)} ${boundedStopsText(row.error)}` : outcomeText(row);
}

function address({ page, id }: PageFrame): string {
  return `${page}#${id}`;
}

/** Columns that can be sorted by: heading, kind of value. */
const COLUMNS: readonly (readonly [string, "number" | "text"])[] = [
  ["No.", "number"],
  ["Frame", "text"],
  ["Settings", "text"],
  ["Pattern", "text"],
  ["Placed", "number"],
  ["Fell", "number"],
  ["Error, stops", "number"],
  ["Verdict", "text"],
  ["Cause", "text"],
];

function frameTable(frames: readonly PageFrame[]): Markup {
  const of = (value: (frame: PageFrame) => string): string[] =>
    [...new Set(frames.map(value))].filter((text) => text !== "").sort();
  return html`<form class="filters" hidden><fieldset><legend>Show</legend>
${filter("verdict", "Verdict", of(verdictOf))}
${filter("cause", "Cause", of(causeOf))}
${filter(
  "folder",
  "Folder",
  of(({ folder }) => folder),
)}
${filter("pattern", "Metering pattern", of(patternOf))}
<label>Name contains <input type="search" name="name" autocomplete="off"></label>
<button type="reset">Show all</button></fieldset>
<p role="status" class="shown-count"></p></form>
<div class="table-scroll" role="region" aria-label="Every frame, a table" tabindex="0"><table class="frames"><caption>Every frame</caption>
<thead><tr>${COLUMNS.map(([heading, kind]) => html`<th scope="col" data-kind="${kind}">${heading}</th>`)}</tr></thead>
<tbody>${frames.map(tableRow)}</tbody></table></div>`;
}

function filter(name: string, label: string, options: readonly string[]): Markup | null {
  if (options.length < 2) return null;
  return html`<label>${label} <select name="${name}"><option value="">all</option>${options.map((option) => html`<option>${option}</option>`)}</select></label>`;
}

function tableRow(frame: PageFrame): Markup {
  const { row, number, name, folder } = frame;
  const { placement, fall, error } = row;
  const cells: [Content, number | string | null][] = [
    [number, number],
    [html`<a href="${address(frame)}">${name}</a>`, name],
    [settingsText(row.exposure), row.givenExposure],
    [patternOf(frame) || "-", patternOf(frame)],
    [placement ? placementText(placement) : "-", placement?.from ?? null],
    [fall ? boundedStopsText(fall) : "-", fall?.stops ?? null],
    [error ? errorText(error) : "-", error?.stops ?? null],
    [html`<span class="${row.verdict ?? "none"}">${outcomeText(row)}</span>`, verdictOf(frame)],
    [causeOf(frame) || "-", causeOf(frame)],
  ];
  return html`<tr data-frame="${number}" data-verdict="${verdictOf(frame)}" data-cause="${causeOf(frame)}" data-folder="${folder}" data-pattern="${patternOf(frame)}">${cells.map(([content, value]) => html`<td data-sort="${value === null ? "" : value}">${content}</td>`)}</tr>`;
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
