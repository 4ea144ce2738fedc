import { log2 } from "@tonefall/tone-core";
import type { FrameResult } from "../../model/result.ts";
import { outcomeText } from "../../model/words.ts";
import type { OpenRange } from "../../sets/ask.ts";
import { html, type Markup } from "./markup.ts";
import { boundedFigure, errorFigure, rangeFigure } from "./pageWords.ts";
import { type RulerLane, ruler, rulerKey } from "./ruler.ts";

/** A named row of the scale. */
export interface ScaleRow {
  readonly name: string;
  readonly row: FrameResult;
  /** Where a set claims the tone to fall, and what became of that in words: drawn in place of the placement. */
  readonly claim?: { readonly range: OpenRange; readonly outcome: string };
}

/** Where several tones were placed and where they fell, one lane a tone, all on one ruler, and the same in words. */
export function stopScalePlot(title: string, rows: readonly ScaleRow[]): Markup {
  const lanes = rows.map((row) => ({ ...laneOf(row), name: rows.length > 1 ? row.name : null }));
  return html`<figure class="plot"><h4>${title}</h4>${ruler(title, lanes, scaleEnd(rows[0]?.row))}${rulerKey(lanes)}<figcaption class="unseen">${rows.map((row) => sentence(row, rows.length > 1)).join(" ")}</figcaption></figure>`;
}

/** A row's tone as a lane of a ruler. */
export function laneOf({ row, claim }: Omit<ScaleRow, "name">): RulerLane {
  const { fall, placement, tolerance, error, verdict } = row;
  const asked = claim?.range ?? placement;
  return {
    name: null,
    asked: asked && { from: asked.from, to: asked.to, word: claim ? "claimed" : "placed" },
    tolerance,
    fall: fall && {
      stops: fall.stops,
      spread: [fall.p5, fall.p95],
      uncertainty: error?.uncertainty ?? 0,
      bound: fall.bound,
      verdict,
    },
  };
}

/** Where the basis's scale ends, stops from middle grey; display white where there is no picture. */
export function scaleEnd(row: FrameResult | undefined): number {
  const stops = -log2(row?.picture?.middleGrey ?? 0.18);
  return row?.basis === "scene" && row.sensor === null ? stops / 1.3 : stops;
}

function sentence({ name, row, claim }: ScaleRow, named: boolean): string {
  const { placement, fall, error } = row;
  const subject = named ? `${name}: ` : "";
  if (!fall) return `${subject}${named ? "no" : "No"} tone could be measured.`;
  const fell = `${named ? "fell" : "Fell"} at ${boundedFigure(fall)}`;
  if (claim) return `${subject}${fell}, claimed ${rangeFigure(claim.range)}: ${claim.outcome}.`;
  if (!placement || !error) return `${subject}${fell}.`;
  return `${subject}${fell}, placed at ${rangeFigure(placement)}: ${outcomeText(row)}, error ${errorFigure(error)} stops.`;
}
