import type { CheckRow } from "../../model/checkResult.ts";
import type { FrameResult } from "../../model/result.ts";
import type { FrameFacts } from "../../sets/frameFacts.ts";
import { toneOf } from "../../sets/frameFacts.ts";
import { shifted } from "../../sets/judgePlaced.ts";
import type { ReadyClaim, ReadyFrame } from "../../sets/readySet.ts";
import { checkOutcomeText } from "../text/checkWords.ts";
import { placed } from "./checkSheets.ts";
import { claimsTable } from "./claimsTable.ts";
import { goesWithoutSaying, outcomeMark, sideOf } from "./claimWords.ts";
import type { FrameView } from "./frameView.ts";
import { histogramPlots, tonesTable } from "./histogramPlots.ts";
import { html, type Markup } from "./markup.ts";
import type { PageFrame } from "./pageFrame.ts";
import type { NamedRegion } from "./regionOverlay.ts";
import { regionPicture } from "./regionPicture.ts";
import { settingsTable } from "./settingsTable.ts";
import { spotPlace } from "./spotPlace.ts";
import { type ScaleRow, stopScalePlot } from "./stopScalePlot.ts";
import { type OnWall, wallDataElement } from "./wallData.ts";

/** A frame of a set, measured and judged. */
export interface CheckedFrame {
  readonly frame: PageFrame;
  readonly ready: ReadyFrame;
  readonly facts: FrameFacts;
  /** What became of its own claims. */
  readonly claims: readonly CheckRow[];
  /** Its set, where the page has several. */
  readonly setName: string | null;
}

/** A tone of a frame, and what was seen of it. */
export interface SeenTone {
  readonly row: FrameResult;
  readonly view: FrameView;
}

/**
 * A frame of a set in full, one card whatever number of regions its claims name: all regions on its picture, all claims
 * of stops on one scale, and histograms for each region.
 *
 * @param tones - those with pixels behind them, the first with the picture
 */
export function checkCard(checked: CheckedFrame, tones: readonly SeenTone[]): Markup {
  const { frame, ready, facts, claims, setName } = checked;
  const { id, number, name, folder } = frame;
  const regions = namedRegions(ready, tones);
  const nameOf = (region: string | null): string =>
    regions.find((one) => one.region === region)?.name ?? region ?? "settings";
  const lanes = claims.flatMap((row) => laneOf(row, checked, nameOf));
  const [first] = tones;
  // A claim on what a pattern reads looks at the whole frame, which every histogram shows anyway.
  const drawn = tones.filter(({ row }) => row.region !== "whole" || tones.length === 1);
  const shown = claims.filter((row) => !goesWithoutSaying(row));
  return html`<article class="card" id="${id}" tabindex="-1" data-open="${claims.filter(({ outcome }) => outcome !== "kept").length}">
<header><h3><span class="number">${number}</span> ${name}</h3><p class="from">${setName === null ? null : html`${setName}, `}${folder}</p>${worstMark(claims)}</header>
${facts.failure ? html`<p class="failure">Not measured: ${facts.failure.message}.</p>` : null}
<div class="card-body">${first ? regionPicture(name, first.view, regions) : null}<div class="findings">
${lanes.length > 0 ? stopScalePlot("Where tones are claimed to fall, and where they fell", lanes) : null}
</div></div>
${claimsTable("Claims about this frame", shown, ready.id)}
${drawn.map(({ row, view }, i) => histograms(row, view, nameOf(row.region), i > 0))}
<div class="more">
${first ? html`<details><summary>Tones by stops</summary><div class="tables">${tonesTable(first.row, first.view)}</div></details>` : null}
${facts.read?.exposure ? html`<details><summary>Settings, and where each came from</summary>${settingsTable(facts.read.exposure)}</details>` : null}
</div>
${wallDataElement(
  id,
  claims.flatMap((row) => askedOnWall(row, checked, nameOf)),
)}
${first ? spotPlace(id, first.view, { row: first.row, name: ready.file, setId: ready.id }) : null}
</article>`;
}

function histograms(row: FrameResult, view: FrameView, name: string, folded: boolean): Markup {
  const plots = html`<div class="histograms">${histogramPlots(row, view)}</div>`;
  return folded
    ? html`<details class="more"><summary>Histograms of ${name}</summary>${plots}</details>`
    : html`<h4 class="of">Histograms of ${name}</h4>${plots}`;
}

/** The gravest of a frame's outcomes. */
function worstMark(claims: readonly CheckRow[]): Markup {
  const open = claims.filter(({ outcome }) => outcome !== "kept");
  const worst = open.find(({ fails }) => fails) ?? open[0] ?? claims[0];
  if (!worst) return html`<p class="verdict">no claim of its own</p>`;
  const of =
    open.length > 0
      ? ` ${open.length} of ${claims.length} claims`
      : claims.length === 1
        ? " its one claim"
        : ` all ${claims.length} claims`;
  return html`<p class="verdict"><strong>${outcomeMark(worst)}</strong>${of}</p>`;
}

/** The regions of a frame that have a tone, by the names that its set gives them. */
function namedRegions({ regions }: ReadyFrame, tones: readonly SeenTone[]): NamedRegion[] {
  const names = new Map(Object.entries(regions).map(([name, region]) => [region, name]));
  const texts = [...new Set(tones.flatMap(({ row }) => (row.region ? [row.region] : [])))];
  const named = texts.filter((text) => text !== "whole" || texts.length === 1);
  return named.map((region) => ({ name: names.get(region) ?? null, region }));
}

/** A claim on where a tone falls as a lane of the scale. */
function laneOf(
  found: CheckRow,
  { ready, facts }: CheckedFrame,
  nameOf: (region: string | null) => string,
): ScaleRow[] {
  const claim = ready.claims.find(({ id }) => id === found.id);
  if (!claim || !found.stops || (claim.kind !== "falls" && claim.kind !== "error")) return [];
  const { row } = toneOf(new Map([[ready.id, facts]]), claim.ask);
  if (!row) return [];
  const { uncertainty, bound, tolerance } = found.stops;
  return [
    {
      name: `${nameOf(row.region)}${claim.kind === "error" ? ", error" : ""}`,
      row: {
        ...row,
        placement: null,
        tolerance,
        verdict: sideOf(found),
        error: { stops: 0, median: 0, uncertainty, uncertaintyParts: {}, bound, decidedBy: "mean" },
      },
      claim: { range: claimedRange(claim), outcome: checkOutcomeText(found) },
    },
  ];
}

/** A placed tone as the wall asks for it; a claim on an error asks for the placement that it is an error of. */
function askedOnWall(
  found: CheckRow,
  { frame, ready, facts }: CheckedFrame,
  nameOf: (region: string | null) => string,
): OnWall[] {
  const claim = ready.claims.find(({ id }) => id === found.id);
  if (!claim || (claim.kind !== "falls" && claim.kind !== "error")) return [];
  const { row } = toneOf(new Map([[ready.id, facts]]), claim.ask);
  if (!row) return [];
  const named = Object.keys(ready.regions).length > 1 ? `, ${nameOf(row.region)}` : "";
  return [
    {
      label: `Frame ${frame.number}${named}`,
      frame: { ...frame, row: placed(row, claim, claim.ask) },
    },
  ];
}

function claimedRange(claim: Extract<ReadyClaim, { kind: "falls" | "error" }>): {
  readonly from: number;
  readonly to: number;
} {
  return claim.kind === "falls" ? claim.placement : shifted(claim.placement, claim.lies);
}
