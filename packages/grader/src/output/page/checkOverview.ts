import { median } from "@tonefall/tone-core";
import {
  type CheckResult,
  type CheckRow,
  type Outcome,
  summariseCheck,
} from "../../model/checkResult.ts";
import { checkOutcomeText, checkSummaryText, readableSentence } from "../text/checkWords.ts";
import { foldedClaims } from "./claimsTable.ts";
import {
  differenceOf,
  differenceText,
  goesWithoutSaying,
  OUTCOME_SIGNS,
  outcomeMark,
  placedStops,
  sideOf,
  urgencyOf,
} from "./claimWords.ts";
import { type AxisPoint, errorAxis } from "./errorAxis.ts";
import { madeOn } from "./madeOn.ts";
import { html, type Markup } from "./markup.ts";
import type { PageFrame } from "./pageFrame.ts";
import { typeset } from "./pageWords.ts";
import type { AddressOf } from "./reportPages.ts";
import { sortableTable, type TableRow } from "./sortableTable.ts";
import { thumbSymbols } from "./thumbnail.ts";

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
  /** The first of the frames that it is about; null where it is of none. */
  readonly frame: PageFrame | null;
}

/** So many findings are shown first; the table holds all. */
const FIRST = 4;

/** One screen: how far every frame and relation lies from what is claimed, and beside it what to look at first. */
export function checkOverview(
  { sets }: Pick<CheckResult, "sets">,
  claims: readonly ToldClaim[],
  frames: readonly PageFrame[],
  addressOf: AddressOf,
): Markup {
  const byUrgency = [...claims].sort((a, b) => urgencyOf(b.row) - urgencyOf(a.row));
  const addressOfClaim = ({ at }: ToldClaim): string | null =>
    at && (at.onSheet ? `#${at.id}` : addressOf(at));
  const ofStops = byUrgency.filter(({ row }) => placedStops(row));
  const points = worstOfEach(ofStops).flatMap((claim) => pointOf(claim, addressOfClaim(claim)));
  return html`<section id="overview" aria-labelledby="overview-title"><h2 id="overview-title" class="unseen">Overview</h2>
${thumbSymbols(frames)}
<div class="overview panel">${
    points.length > 0
      ? errorAxis({
          title: "How far every frame and relation lies from what is claimed",
          along: "stops from what is claimed",
          points,
          tolerance: median(points.map(({ tolerance }) => tolerance)),
        })
      : html`<p>No claim of stops could be checked.</p>`
  }<div class="sayings">${lookFirst(byUrgency, addressOfClaim)}${sets.length > 1 && setIndex(sets)}</div></div>
</section>
<section id="claims" aria-labelledby="claims-title"><h2 id="claims-title">Claims</h2>
${claimTable(byUrgency, addressOfClaim, sets.length > 1)}
</section>`;
}

/** How many claims came to what, as links that filter the table, and the way through the frames with an open one. */
export function checkBar(summary: CheckResult["summary"]): Markup {
  const counts: [number, Outcome, string][] = [
    [summary.missed, "missed", "not kept"],
    [summary.undecided, "undecided", "cannot tell"],
    [summary.notRun, "not run", "not run"],
    [summary.kept, "kept", "kept"],
  ];
  return html`<div class="bar" role="region" aria-label="Summary"><div class="bar-inside"><ul class="counts"><li><a href="#claims" data-outcome=""><strong>${summary.claims}</strong> ${summary.claims === 1 ? "claim" : "claims"}</a></li>${counts
    .filter(([count]) => count > 0)
    .map(
      ([count, outcome, word]) =>
        html`<li><a href="#claims" data-outcome="${word}"><strong>${count}</strong> <span class="mark" aria-hidden="true">${OUTCOME_SIGNS[outcome]}</span> ${word}</a></li>`,
    )}</ul>
<span class="steps claim-steps no-print" hidden><button type="button" data-step="-1" aria-label="Previous open claim (key K)">‹</button><button type="button" data-step="1" aria-label="Next open claim (key J)">›</button></span></div></div>`;
}

/** The most urgent claim of each frame and relation; of equals the one that lies furthest off. */
function worstOfEach(byUrgency: readonly ToldClaim[]): ToldClaim[] {
  const worst = new Map<string, ToldClaim>();
  for (const claim of byUrgency) {
    const about = claim.at?.id ?? claim.row.id;
    const known = worst.get(about);
    const sooner = !known || urgencyOf(claim.row) === urgencyOf(known.row);
    if (sooner && (!known || offBy(claim.row) > offBy(known.row))) worst.set(about, claim);
  }
  return [...worst.values()];
}

function offBy(row: CheckRow): number {
  const stops = differenceOrNull(row);
  return stops === null ? -1 : Math.abs(stops);
}

function pointOf(
  { row, at, frame, title }: ToldClaim,
  href: string | null,
): (AxisPoint & { readonly tolerance: number })[] {
  const stops = placedStops(row);
  if (!stops || !at || !frame || href === null) return [];
  return [
    {
      id: at.id,
      href,
      number: frame.number,
      name: title,
      stops: differenceOf(stops),
      bound: stops.bound,
      verdict: sideOf(row),
      headline: checkOutcomeText(row),
      pictured: frame.thumbnail !== null,
      tolerance: stops.tolerance,
    },
  ];
}

/** The title of a check's page, and the line beside it. */
export function checkHeading(
  sets: CheckResult["sets"],
  made: Date,
): { readonly title: string; readonly lead: Markup } {
  const [one, ...more] = sets;
  const asks =
    more.length === 0
      ? "Whether this sample set shows what it claims."
      : "Whether these sample sets show what they claim.";
  return {
    title: one && more.length === 0 ? one.name : "Sample sets",
    lead: html`${asks} ${madeOn(made)}`,
  };
}

function differenceOrNull(row: CheckRow): number | null {
  const stops = placedStops(row);
  return stops && differenceOf(stops);
}

function setIndex(sets: CheckResult["sets"]): Markup {
  return html`<ul class="sets small">${sets.map((set) => html`<li>${set.name}, <code>${fileOf(set.file)}</code>: ${checkSummaryText(1, summariseCheck([set])).replace("1 set, ", "")}</li>`)}</ul>`;
}

function lookFirst(
  byUrgency: readonly ToldClaim[],
  addressOf: (claim: ToldClaim) => string | null,
): Markup {
  const firsts = worstOfEach(byUrgency.filter(({ row }) => row.outcome !== "kept"));
  if (firsts.length === 0) {
    return html`<h3 class="all-kept">Every claim is kept</h3><p>The pictures show what the set says of them.</p>`;
  }
  const more = firsts.length - FIRST;
  return html`<h3>Look at these first</h3><ol class="causes">${firsts
    .slice(0, FIRST)
    .map((claim) => {
      const { row, title, setFile } = claim;
      const to = addressOf(claim);
      const name = html`<strong>${title}</strong>`;
      return html`<li><p>${to === null ? name : html`<a href="${to}">${name}</a>`}</p><p>${typeset(readableSentence(claim))}</p><p class="quiet small">${outcomeMark(row)}${placedStops(row) && ` ${differenceText(row)}`}. ${fileOf(setFile)}, line ${row.line}</p></li>`;
    })}</ol>${more > 0 && html`<p class="quiet small">The table below lists ${more} more first.</p>`}`;
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
