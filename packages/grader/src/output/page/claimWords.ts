import type { Verdict } from "@tonefall/tone-core";
import type { CheckRow, CheckStops } from "../../model/checkResult.ts";
import { checkOutcomeText } from "../text/checkWords.ts";
import { html, type Markup } from "./markup.ts";
import { boundedFigure } from "./pageWords.ts";

/**
 * The numbers of a claim that a tone lies somewhere; null for claims that are not of stops, and where a tone is claimed to
 * be off its placement, as the first of a correction is: how far off is no fault.
 */
export function placedStops({ kind, id, stops }: CheckRow): CheckStops | null {
  return kind === "correction" && id.endsWith("/from") ? null : stops;
}

/** How far a claim's tone lies from what is claimed, stops; 0 where it lies within. */
export function differenceOf({ measured, from, to }: CheckStops): number {
  return measured - Math.min(Math.max(measured, from ?? measured), to ?? measured);
}

/** The difference as text, `–` for claims that are not of stops. */
export function differenceText(row: CheckRow): string {
  const stops = placedStops(row);
  if (!stops) return "–";
  return boundedFigure({ stops: differenceOf(stops), bound: stops.bound });
}

/** A claim's outcome as frames' verdicts are drawn: by side where a side is what it missed. */
export function sideOf({ outcome, stops }: CheckRow): Verdict {
  if (outcome === "kept") return "within";
  if (outcome !== "missed" || !stops) return "undecided";
  return differenceOf(stops) > 0 ? "over" : "under";
}

/** The sign of each outcome. */
export const OUTCOME_SIGNS: Readonly<Record<CheckRow["outcome"], string>> = {
  kept: "●",
  missed: "✕",
  undecided: "◇",
  "not run": "–",
};

/** An outcome by mark and word. */
export function outcomeMark(row: CheckRow): Markup {
  return html`<span class="outcome ${row.outcome === "kept" ? "kept" : "open"}"><span class="mark" aria-hidden="true">${OUTCOME_SIGNS[row.outcome]}</span> ${checkOutcomeText(row)}</span>`;
}

/**
 * How much a claim needs eyes: what could not be measured first, then what missed by how many tolerances, what cannot be
 * told, and what the set allows; 0 for what is kept.
 */
export function urgencyOf({ outcome, fails, stops }: CheckRow): number {
  if (outcome === "kept") return 0;
  if (!fails) return 1;
  if (outcome === "not run") return 4e6;
  if (outcome === "undecided") return 2;
  const away = stops ? Math.abs(differenceOf(stops)) / (stops.tolerance + stops.uncertainty) : 0;
  return 3 + away;
}

/** Whether a claim goes without saying while it holds: that a file is as pinned, and of its kit. */
export function goesWithoutSaying({ kind, outcome }: CheckRow): boolean {
  return outcome === "kept" && (kind === "pin" || kind === "kit");
}
