import { type CheckResult, type CheckRow, summariseCheck } from "../../model/checkResult.ts";
import { checkOutcomeText, checkSummaryText, readableSentence } from "../text/checkWords.ts";
import { foldedClaims } from "./claimsTable.ts";
import {
  differenceOf,
  differenceText,
  goesWithoutSaying,
  outcomeMark,
  placedStops,
  sideOf,
  urgencyOf,
} from "./claimWords.ts";
import type { SmallPicture } from "./frameView.ts";
import { madeOn } from "./madeOn.ts";
import { html, type Markup } from "./markup.ts";
import { typeset } from "./pageWords.ts";
import type { AddressOf } from "./reportPages.ts";
import { sortableTable, type TableRow } from "./sortableTable.ts";
import { stripPlot } from "./stripPlot.ts";
import { thumbnail } from "./thumbnail.ts";

/** A claim with where it is told in full. */
export interface ToldClaim {
  /** From 1, in the order of the set files. */
  readonly number: number;
  readonly setName: string;
  readonly setFile: string;
  readonly row: CheckRow;
  /** What it is about, as people say it: `Frame 3, slate`. */
  readonly title: string;
  /** Claims that could not be checked for its reason alone; they have no row of their own. */
  readonly resting: readonly CheckRow[];
  /** The card or sheet that tells it; null where it is of no frame. */
  readonly at: { readonly id: string; readonly name: string; readonly onSheet: boolean } | null;
  readonly thumbnail: SmallPicture | null;
}

/** So many findings are shown first; the table holds all. */
const FIRST = 12;

/** What needs eyes first, counts, every claim of stops at one glance, and a table to sort and filter. */
export function checkOverview(
  { sets, summary }: Pick<CheckResult, "sets" | "summary">,
  claims: readonly ToldClaim[],
  addressOf: AddressOf,
): Markup {
  const byUrgency = [...claims].sort((a, b) => urgencyOf(b.row) - urgencyOf(a.row));
  const addressOfClaim = ({ at }: ToldClaim): string | null =>
    at && (at.onSheet ? `#${at.id}` : addressOf(at));
  const strip = stripPlot({
    title: "Every claim of stops",
    summary: `How far each tone lies from what is claimed, in stops; the grey band is the claim's tolerance. ▲ lies above what is claimed, ▼ below, ● within, ◇ cannot tell; an arrow says "or further". The table below holds the figures.`,
    along: "claim, in the order of the set file",
    points: claims.map(({ row }) => {
      const stops = placedStops(row);
      return {
        error: stops && {
          stops: differenceOf(stops),
          uncertainty: stops.uncertainty,
          bound: stops.bound,
        },
        tolerance: stops?.tolerance ?? null,
        verdict: stops && sideOf(row),
      };
    }),
  });
  return html`<section id="overview" aria-labelledby="overview-title"><h2 id="overview-title">Overview</h2>
${counts(summary)}
${sets.length > 1 ? setIndex(sets) : null}
${lookFirst(byUrgency, addressOfClaim)}
${strip && html`<div class="strip" role="region" aria-label="Every claim of stops, a plot" tabindex="0">${strip}</div>`}
${claimTable(byUrgency, addressOfClaim, sets.length > 1)}
</section>`;
}

/** The title of a check's page, and the line beside it. */
export function checkHeading(
  sets: CheckResult["sets"],
  summary: CheckResult["summary"],
  made: Date,
): { readonly title: string; readonly lead: Markup } {
  const [one, ...more] = sets;
  const asks =
    more.length === 0
      ? "Whether this sample set shows what it claims."
      : "Whether these sample sets show what they claim.";
  return {
    title: one && more.length === 0 ? one.name : "Sample sets",
    lead: html`${asks} ${checkSummaryText(sets.length, summary)}. ${madeOn(made)}`,
  };
}

function differenceOrNull(row: CheckRow): number | null {
  const stops = placedStops(row);
  return stops && differenceOf(stops);
}

function counts(summary: CheckResult["summary"]): Markup {
  const tiles: [number, string, string][] = [
    [summary.missed, "✕", "not kept"],
    [summary.undecided, "◇", "cannot tell"],
    [summary.notRun, "–", "not run"],
    [summary.kept, "●", "kept"],
  ];
  return html`<ul class="counts">${tiles
    .filter(([count]) => count > 0)
    .map(
      ([count, mark, word]) =>
        html`<li><span class="count">${count}</span> <span class="mark" aria-hidden="true">${mark}</span> ${word}</li>`,
    )}</ul>`;
}

function setIndex(sets: CheckResult["sets"]): Markup {
  return html`<ul class="sets">${sets.map((set) => html`<li>${set.name}, <code>${fileOf(set.file)}</code>: ${checkSummaryText(1, summariseCheck([set])).replace("1 set, ", "")}</li>`)}</ul>`;
}

function lookFirst(
  byUrgency: readonly ToldClaim[],
  addressOf: (claim: ToldClaim) => string | null,
): Markup {
  const open = byUrgency.filter(({ row }) => row.outcome !== "kept");
  if (open.length === 0) return html`<p class="all-kept">● Every claim is kept.</p>`;
  const about = ({ at, row }: ToldClaim): string => at?.id ?? row.id;
  const firsts = open.filter(
    (claim, i) => open.findIndex((one) => about(one) === about(claim)) === i,
  );
  return html`<section class="first" aria-labelledby="first-title"><h3 id="first-title">Look at these first</h3><ul class="wide">${firsts
    .slice(0, FIRST)
    .map((claim) => {
      const { row, title, thumbnail: picture, setFile } = claim;
      const to = addressOf(claim);
      const more = open.filter((one) => about(one) === about(claim)).length - 1;
      const words = html`${picture && thumbnail(picture)}<span class="name">${title}</span><span class="said">${typeset(readableSentence(claim))}</span><span class="said place">${fileOf(setFile)}, line ${row.line}</span><span>${outcomeMark(row)}${placedStops(row) ? ` ${differenceText(row)}` : ""}${more > 0 ? `, and ${more} more here` : ""}</span>`;
      return html`<li>${to === null ? html`<div class="tile">${words}</div>` : html`<a class="tile" href="${to}">${words}</a>`}</li>`;
    })}</ul>${firsts.length > FIRST ? html`<p>The table below lists the rest first.</p>` : null}</section>`;
}

/** A set's file without the folders of the machine that it lies on. */
function fileOf(path: string): string {
  return path.split("/").slice(-2).join("/");
}

function claimTable(
  byUrgency: readonly ToldClaim[],
  addressOf: (claim: ToldClaim) => string | null,
  severalSets: boolean,
): Markup {
  const listed = byUrgency.filter(({ row }) => !goesWithoutSaying(row));
  const unsaid = byUrgency.length - listed.length;
  const folded = listed.reduce((sum, { resting }) => sum + resting.length, 0);
  return sortableTable({
    caption: `Every claim, the most urgent first${unsaid > 0 ? `; ${unsaid} pins and kits that hold are not listed` : ""}${folded > 0 ? `; ${folded} that rest on a missing picture are folded below it` : ""}`,
    unit: "claims",
    columns: [
      ["No.", "number"],
      ["Claim", "text"],
      ["Where", "text"],
      ["Outcome", "text"],
      ["Off by, stops", "number"],
      ["Expected", "text"],
      ["Found", "text"],
      ["Line", "number"],
    ],
    filters: ["Outcome", "Kind", ...(severalSets ? ["Set"] : [])],
    rows: listed.map((claim): TableRow => {
      const { number, row, resting, at, setName, setFile } = claim;
      const to = addressOf(claim);
      return {
        cards: at ? [at.id] : [],
        named: [row.id, at?.name, ...resting.map(({ id }) => id)].join(" "),
        filters: [checkOutcomeText(row), row.kind, ...(severalSets ? [setName] : [])],
        cells: [
          [number, number],
          [html`${row.id}${resting.length > 0 && foldedClaims(resting)}`, row.id],
          [at && to !== null ? html`<a href="${to}">${at.name}</a>` : "–", at?.name ?? null],
          [outcomeMark(row), checkOutcomeText(row)],
          [differenceText(row), differenceOrNull(row)],
          [typeset(row.expected), row.expected],
          [row.measured === null ? "–" : typeset(row.measured), row.measured],
          [severalSets ? `${fileOf(setFile)}:${row.line}` : row.line, row.line],
        ],
      };
    }),
  });
}
