import type { CheckRow } from "../../model/checkResult.ts";
import type { FrameResult } from "../../model/result.ts";
import { countText } from "../../model/words.ts";
import type { FrameFacts } from "../../sets/frameFacts.ts";
import { toneOf } from "../../sets/frameFacts.ts";
import { shifted } from "../../sets/judgePlaced.ts";
import type { ReadyClaim, ReadyFrame } from "../../sets/readySet.ts";
import { checkOutcomeText, foldedRows, readableSentence } from "../text/checkWords.ts";
import { placed } from "./checkSheets.ts";
import { claimsTable } from "./claimsTable.ts";
import { goesWithoutSaying, OUTCOME_SIGNS, outcomeMark, sideOf } from "./claimWords.ts";
import { fold } from "./fold.ts";
import { frameFold } from "./frameFold.ts";
import type { FrameView } from "./frameView.ts";
import { histogramPlots, tonesTable } from "./histogramPlots.ts";
import { html, type Markup } from "./markup.ts";
import type { PageFrame } from "./pageFrame.ts";
import { typeset } from "./pageWords.ts";
import type { NamedRegion } from "./regionOverlay.ts";
import { regionPicture } from "./regionPicture.ts";
import { regionWords } from "./regionWords.ts";
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
 * A frame of a set as a row that opens to its card, whatever number of regions its claims name: all regions on its picture,
 * all claims of stops on one ruler. What has an open claim stands open.
 *
 * @param tones - those with pixels behind them, the first with the picture
 * @param waits - whether its content is held aside until it comes near: for pages of many frames
 */
export function checkCard(
  checked: CheckedFrame,
  tones: readonly SeenTone[],
  waits = false,
): Markup {
  const { frame, ready, claims, setName } = checked;
  const open = claims.filter(({ outcome }) => outcome !== "kept");
  const worst = open.find(({ fails }) => fails) ?? open[0] ?? claims[0];
  const nameOf = regionNames(ready, tones);
  return frameFold({
    frame,
    aside: [setName, frame.folder].filter(Boolean).join(", "),
    verdict: worst ? outcomeMark(worst) : "no claim of its own",
    figure: claims.length > 0 && `${claims.length - open.length} of ${claims.length}`,
    pictured: Boolean(tones[0]?.view.picture),
    open: open.length > 0,
    waits,
    openClaims: open.length,
    content: body(checked, tones, open, nameOf),
    data: wallDataElement(
      frame.id,
      claims.flatMap((row) => askedOnWall(row, checked, nameOf)),
    ),
  });
}

/** What a set calls a region of a frame. */
type NameOf = (region: string | null) => string;

function body(
  checked: CheckedFrame,
  tones: readonly SeenTone[],
  open: readonly CheckRow[],
  nameOf: NameOf,
): Markup {
  const { frame, ready, facts, claims } = checked;
  const { id, name } = frame;
  const first = tones[0] ?? null;
  const regions = namedRegions(ready, tones);
  const lanes = claims.flatMap((row) => laneOf(row, checked, nameOf));
  // A claim on what a pattern reads looks at the whole frame, which every histogram shows anyway.
  const drawn = tones.filter(({ row }) => row.region !== "whole" || tones.length === 1);
  const shown = claims.filter((row) => !goesWithoutSaying(row));
  return html`<div class="frame-body${first?.view.picture ? "" : " no-picture"}">${first && regionPicture(name, first.view, regions)}<div class="findings"><p class="verdict">${headline(claims, open)}</p>
${facts.failure && html`<p>Not measured: ${facts.failure.message}.</p>`}
${lanes.length > 0 && stopScalePlot("Claimed, and fallen", lanes)}
${open.length > 0 && html`<div class="why"><h4>Why</h4><ul>${foldedRows(open).map((row) => html`<li>${typeset(readableSentence(row))} <span class="quiet no-break">line ${row.row.line}</span></li>`)}</ul></div>`}
${first && html`<p class="actions no-print">${spotPlace(id, first.view, { row: first.row, name: ready.file, setId: ready.id })}</p>`}</div></div>
<div class="folds no-print">${fold("Claims", claimsTable("Claims about this frame", shown, ready.id))}${
    drawn.length > 0 &&
    fold(
      "Histograms",
      drawn.map(
        ({ row, view }) =>
          html`<h4>${nameOf(row.region)}</h4><div class="histograms">${histogramPlots(row, view)}</div>`,
      ),
    )
  }${first && fold("Tones by stops", html`<div class="tables">${tonesTable(first.row, first.view)}</div>`)}${facts.read?.exposure ? fold("Settings", settingsTable(facts.read.exposure)) : null}</div>`;
}

/** What its claims came to, in words: `All 8 claims kept`. */
function headline(claims: readonly CheckRow[], open: readonly CheckRow[]): Markup | string {
  const [first] = open;
  if (claims.length === 0) return "No claim of its own";
  const mark = (sign: string): Markup =>
    html`<span class="mark" aria-hidden="true">${sign}</span> `;
  if (!first) {
    const all = claims.length === 1 ? "Its one claim is kept" : `All ${claims.length} claims kept`;
    return html`${mark(OUTCOME_SIGNS.kept)}${all}`;
  }
  const alike = open.every(({ outcome }) => outcome === first.outcome);
  const came = alike ? checkOutcomeText(first) : "not settled";
  // The sign of what was not run would read as a minus before a number.
  return html`${alike && first.outcome !== "not run" && mark(OUTCOME_SIGNS[first.outcome])}${open.length} of ${countText(claims.length, "claim")} ${came}`;
}

function regionNames(ready: ReadyFrame, tones: readonly SeenTone[]): NameOf {
  const regions = namedRegions(ready, tones);
  return (region) => {
    if (region === null) return "settings";
    return regions.find((one) => one.region === region)?.name ?? regionWords(region);
  };
}

/** The regions of a frame that have a tone, by the names that its set gives them. */
function namedRegions({ regions }: ReadyFrame, tones: readonly SeenTone[]): NamedRegion[] {
  const names = new Map(Object.entries(regions).map(([name, region]) => [region, name]));
  const texts = [...new Set(tones.flatMap(({ row }) => (row.region ? [row.region] : [])))];
  const named = texts.filter((text) => text !== "whole" || texts.length === 1);
  return named.map((region) => ({ name: names.get(region) ?? null, region }));
}

/** A claim on where a tone falls as a lane of the scale. */
function laneOf(found: CheckRow, { ready, facts }: CheckedFrame, nameOf: NameOf): ScaleRow[] {
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
  nameOf: NameOf,
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
