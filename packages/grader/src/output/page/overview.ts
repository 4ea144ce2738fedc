import { median } from "@tonefall/tone-core";
import type { CauseCode } from "../../model/cause.ts";
import { decidedError } from "../../model/decidedError.ts";
import { wasMade } from "../../model/madeFrame.ts";
import { countText, outcomeText, settingsText } from "../../model/words.ts";
import { summarise } from "../text/summarise.ts";
import { CLASS_WORDS } from "./classWords.ts";
import { type AxisPoint, errorAxis } from "./errorAxis.ts";
import { fold } from "./fold.ts";
import { frameData, missedByDesign } from "./frameData.ts";
import { type Content, html, type Markup } from "./markup.ts";
import type { PageFrame } from "./pageFrame.ts";
import { boundedFigure, errorFigure, figure, rangeFigure, typeset } from "./pageWords.ts";
import type { AddressOf } from "./reportPages.ts";
import { sortableTable, type TableRow } from "./sortableTable.ts";
import { thumbSymbols } from "./thumbnail.ts";
import { CAUSE_WORDS, VERDICT_MARKS } from "./wording.ts";

/** The most causes that the overview names. */
const CAUSES = 3;

/** Frames that a sentence names. */
const NAMED = 6;

/** One screen: every frame at its error, and beside it what happened most and what to say. */
export function overview(frames: readonly PageFrame[], addressOf: AddressOf): Markup {
  const placed = frames.some(({ row }) => row.error);
  const points = frames.flatMap((frame) => pointOf(frame, placed, addressOf));
  return html`<section id="overview" aria-labelledby="overview-title"><h2 id="overview-title" class="unseen">Overview</h2>
${thumbSymbols(frames)}
<div class="overview panel">${
    points.length > 0
      ? errorAxis({
          title: placed
            ? "Every frame at its exposure error"
            : "Every frame at the tone it fell on",
          points,
          tolerance: placed ? usualTolerance(frames) : null,
        })
      : html`<p>No frame could be measured.</p>`
  }<div class="sayings">${placed ? causeSentences(frames, addressOf) : fallSentences(frames)}</div>${asides(frames, addressOf, points.length === 0)}</div>
</section>`;
}

/** How many frames came to what: links that filter, a search, and ways through the misses. */
export function summaryBar(frames: readonly PageFrame[]): Markup {
  const summary = summarise(frames.map(({ row }) => row));
  const counts: [number, string, string][] = [
    [summary.over, "lighter", "over"],
    [summary.under, "darker", "under"],
    [summary.within, "within", "within"],
    [summary.undecided, "cannot tell", "undecided"],
    [summary.withoutPlacement, "measured", "none"],
    [summary.failed, "not graded", "failed"],
  ];
  const folders = new Set(frames.map(({ folder }) => folder));
  return html`<div class="bar" role="region" aria-label="Summary and filters"><div class="bar-inside"><ul class="counts"><li><a href="#show=all" data-show="all"><strong>${summary.frames}</strong> ${summary.frames === 1 ? "frame" : "frames"}</a></li>${counts
    .filter(([count]) => count > 0)
    .map(
      ([count, word, kind]) =>
        html`<li><a href="#show=${kind}" data-show="${kind}" class="${kind}"><strong>${count}</strong> ${kind in VERDICT_MARKS && html`<span class="mark" aria-hidden="true">${VERDICT_MARKS[kind] ?? ""}</span> `}${word}</a></li>`,
    )}</ul>
<form class="tools no-print" hidden><button type="button" class="tools-more" aria-expanded="false">Find, group, copy</button><label><span class="unseen">Find a name</span><input type="search" name="q" placeholder="Find a name" autocomplete="off"></label>
<label>Group <select name="by"><option value="">as taken</option><option value="worst">worst first</option><option value="cause">by cause</option>${folders.size > 1 && html`<option value="folder">by folder</option>`}</select></label>
<span class="steps"><button type="button" data-step="-1" aria-label="Previous miss (key K)">‹</button><button type="button" data-step="1" aria-label="Next miss (key J)">›</button></span>
<label>Feedback <select name="voice"><option value="student">to students</option><option value="teacher">to teachers</option></select></label><button type="button" class="copy-all">Copy all</button>
<p role="status" class="bar-status"></p></form></div></div>`;
}

function pointOf(frame: PageFrame, placed: boolean, addressOf: AddressOf): AxisPoint[] {
  const { row, id, number, name, thumbnail } = frame;
  const at = placed ? row.error && decidedError(row.error) : row.fall;
  if (!at) return [];
  return [
    {
      id,
      number,
      name,
      href: addressOf(frame),
      stops: at.stops,
      bound: at.bound,
      verdict: row.verdict,
      headline: frameData(frame).headline,
      pictured: thumbnail !== null,
    },
  ];
}

/** The tolerance of most frames. */
function usualTolerance(frames: readonly PageFrame[]): number {
  const all = frames.flatMap(({ row }) =>
    row.error && row.tolerance !== null ? [row.tolerance] : [],
  );
  return all.length > 0 ? median(all) : 1 / 3;
}

/** The commonest causes: how many, what to say, which frames. */
function causeSentences(frames: readonly PageFrame[], addressOf: AddressOf): Markup {
  const missed = frames.filter(({ row }) => isMiss(row) && !missedByDesign(row));
  const byCause = new Map<CauseCode, PageFrame[]>();
  for (const frame of missed) {
    const code = frame.row.causes[0]?.code ?? "not-known";
    byCause.set(code, [...(byCause.get(code) ?? []), frame]);
  }
  // What is not known comes last: nothing can be said of it.
  const known = ([code]: [CauseCode, unknown]): number => Number(code !== "not-known");
  const foremost = [...byCause]
    .sort((a, b) => known(b) - known(a) || b[1].length - a[1].length)
    .slice(0, CAUSES);
  const misses = missed.length;
  return html`<h3>${misses === 0 ? "Nothing missed" : `${misses} ${misses === 1 ? "miss" : "misses"}, and what to say`}</h3>
${allWithin(frames) && html`<p>Every tone lies within the tolerance of its placement.</p>`}${
  foremost.length > 0 &&
  html`<ol class="causes">${foremost.map(
    ([code, of]) =>
      html`<li><p><a href="#cause=${code}" data-cause="${code}"><strong>${of.length} × ${code === "not-known" ? "cause not known" : CAUSE_WORDS[code]}</strong></a></p><p>${CLASS_WORDS[code]}</p><p class="quiet small">${nameList(of, addressOf)}</p></li>`,
  )}</ol>`
}${byCause.size > CAUSES && html`<p class="quiet small">${byCause.size - CAUSES} further ${byCause.size - CAUSES === 1 ? "cause" : "causes"}; group by cause to see all.</p>`}`;
}

/** Below the axis: what is not counted among the misses, and what could not be graded. */
function asides(
  frames: readonly PageFrame[],
  addressOf: AddressOf,
  nothingElse: boolean,
): Markup | null {
  const meant = frames.filter(({ row }) => missedByDesign(row) && isMiss(row));
  const words = notCounted(meant).map(
    ([what, of]) =>
      html`<p class="quiet small">Not counted: ${what}, which ${of.length === 1 ? "misses" : "miss"} on purpose: ${nameList(of, addressOf)}</p>`,
  );
  const failed = failures(frames, nothingElse);
  return words.length > 0 || failed ? html`<div class="asides">${words}${failed}</div>` : null;
}

function isMiss({ verdict }: PageFrame["row"]): boolean {
  return verdict === "over" || verdict === "under";
}

/** Frames that miss on purpose, by what they are. */
function notCounted(meant: readonly PageFrame[]): readonly [string, readonly PageFrame[]][] {
  const made = meant.filter(({ row }) => wasMade(row));
  const steps = meant.filter((frame) => !made.includes(frame));
  const kinds: [string, readonly PageFrame[]][] = [
    [`${countText(steps.length, "step")} of a bracket`, steps],
    [countText(made.length, "made frame"), made],
  ];
  return kinds.filter(([, of]) => of.length > 0);
}

function allWithin(frames: readonly PageFrame[]): boolean {
  const judged = frames.filter(({ row }) => row.verdict !== null);
  return judged.length > 0 && judged.every(({ row }) => row.verdict === "within");
}

function nameList(frames: readonly PageFrame[], addressOf: AddressOf): Content {
  const named = frames
    .slice(0, NAMED)
    .map(
      (frame, i) =>
        html`${i > 0 ? ", " : ""}<a class="no-break" href="${addressOf(frame)}">${shortName(frame.name)}</a>`,
    );
  return [...named, frames.length > NAMED ? ` and ${frames.length - NAMED} more` : ""];
}

/** A name as a sentence can hold it. */
function shortName(name: string): string {
  const last = name.slice(name.lastIndexOf("/") + 1).replace(/\.[^.]{1,5}$/, "");
  return last.length > 28 ? `${last.slice(0, 16)}…${last.slice(-11)}` : last;
}

/** Where tones fell, where nothing was placed. */
function fallSentences(frames: readonly PageFrame[]): Markup | null {
  const fallen = frames.flatMap(({ row, name }) => (row.fall ? [{ name, fall: row.fall }] : []));
  if (fallen.length === 0) return null;
  const sorted = [...fallen].sort((a, b) => a.fall.stops - b.fall.stops);
  const [darkest, lightest] = [sorted[0], sorted.at(-1)] as [
    (typeof sorted)[number],
    (typeof sorted)[number],
  ];
  return html`<h3>Measured, not judged</h3><p>No tone was placed, so nothing is lighter or darker than it was meant to be.</p>
<p>${fallen.length === 1 ? `The region fell at ${boundedFigure(darkest.fall)}.` : `From ${figure(darkest.fall.stops)} (${shortName(darkest.name)}) to ${figure(lightest.fall.stops)} (${shortName(lightest.name)}); half of them above ${figure(median(fallen.map(({ fall }) => fall.stops)))}.`}</p>
<p>Say where the tones belong in a brief, or with <code class="no-break">--place</code>, for a verdict.</p>`;
}

/** Why frames were not graded: open where there is nothing else to see. */
function failures(frames: readonly PageFrame[], open: boolean): Markup | null {
  const failed = frames.filter(({ row }) => row.failure);
  if (failed.length === 0) return null;
  return html`<details class="failures"${open && html` open`}><summary>${countText(failed.length, "frame")} not graded</summary><ul>${failed.map(({ name, row }) => html`<li>${name}: ${row.failure?.message ?? ""}</li>`)}</ul></details>`;
}

/** Every figure of the run, folded: what a spreadsheet would hold. */
export function frameTable(frames: readonly PageFrame[], addressOf: AddressOf): Markup | null {
  const table = sortableTable({
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
    filters: [],
    rows: frames.map((frame) => tableRow(frame, addressOf)),
  });
  return fold("All figures in one table", table, "all-figures");
}

function tableRow(frame: PageFrame, addressOf: AddressOf): TableRow {
  const { row, number, name, id } = frame;
  const { placement, fall, error } = row;
  const pattern = row.exposure?.meteringPattern.value ?? "";
  const code = row.causes[0]?.code;
  const cause = code ? CAUSE_WORDS[code] : "";
  const verdict = outcomeText(row);
  return {
    cards: [id],
    named: name,
    filters: [],
    cells: [
      [number, number],
      [html`<a href="${addressOf(frame)}">${name}</a>`, name],
      [typeset(settingsText(row.exposure)), row.givenExposure],
      [pattern || "–", pattern],
      [placement ? rangeFigure(placement) : "–", placement?.from ?? null],
      [fall ? boundedFigure(fall) : "–", fall?.stops ?? null],
      [error ? errorFigure(error) : "–", error ? decidedError(error).stops : null],
      [
        html`<span class="${row.verdict ?? "none"}">${verdict}</span>`,
        verdict.replace(/^[▲▼] /, ""),
      ],
      [cause || "–", cause],
    ],
  };
}
