import * as Plot from "@observablehq/plot";
import { log2 } from "@tonefall/tone-core";
import type { FrameResult } from "../../model/result.ts";
import { boundedStopsText, errorText, outcomeText, placementText } from "../../model/words.ts";
import type { OpenRange } from "../../sets/ask.ts";
import { rangeText } from "../../sets/judgeStops.ts";
import type { Markup } from "./markup.ts";
import { INK, type Marks, plotFigure } from "./plotSvg.ts";

/** One scale for every frame of every page, stops from middle grey. */
const SCALE: readonly [number, number] = [-8, 4];

/** A named row of the scale. */
export interface ScaleRow {
  readonly name: string;
  readonly row: FrameResult;
  /** Where a set claims the tone to fall, and what became of that: drawn in place of the placement. */
  readonly claim?: { readonly range: OpenRange; readonly outcome: string };
}

const WIDTHS = { wide: 560, narrow: 300 };
const LANE = 58;

/**
 * Where tones were placed and where they fell, one lane a frame, all on one scale of stops.
 *
 * The lowest strip shows the tones themselves, from black to where the scale of the picture ends.
 */
export function stopScalePlot(title: string, rows: readonly ScaleRow[]): Markup {
  const height = 58 + LANE * rows.length;
  const marks = rows.flatMap((row, lane) =>
    laneMarks(row, rows.length - 1 - lane, rows.length > 1, sameAsAbove(rows, lane)),
  );
  return plotFigure({
    title,
    summary: rows.map((row) => sentence(row, rows.length > 1)).join(" "),
    widths: WIDTHS,
    options: (width) => ({
      width,
      height,
      marginLeft: 14,
      marginRight: 14,
      marginTop: 2,
      marginBottom: 40,
      x: {
        domain: [...SCALE],
        ticks: 12,
        label: "stops from middle grey",
        labelAnchor: "center",
        labelArrow: "none",
      },
      y: { domain: [-0.42, rows.length], axis: null },
      marks: [
        toneStrip(rows[0]?.row, width),
        Plot.ruleX([0], { stroke: INK.text, strokeDasharray: "1 3" }),
        ...marks,
        Plot.axisX({
          ticks: 12,
          tickSize: 4,
          label: "stops from middle grey",
          labelAnchor: "center",
          labelArrow: "none",
        }),
      ],
    }),
  });
}

function toneStrip(row: FrameResult | undefined, width: number): Marks[number] {
  const end = ceiling(row);
  return [
    Plot.rect([0], { x1: SCALE[0], x2: end, y1: -0.36, y2: -0.14, fill: "url(#tones)" }),
    Plot.rect([0], { x1: SCALE[0], x2: end, y1: -0.36, y2: -0.14, stroke: INK.faint }),
    Plot.text([0], {
      x: end,
      y: -0.25,
      text: () => (width < WIDTHS.wide ? "" : "end of scale"),
      dx: 4,
      textAnchor: "start",
      fill: INK.faint,
    }),
  ];
}

/** Where the basis's scale ends, stops; display white where there is no picture. */
function ceiling(row: FrameResult | undefined): number {
  const stops = -log2(row?.picture?.middleGrey ?? 0.18);
  return row?.basis === "scene" && row.sensor === null ? stops / 1.3 : stops;
}

function sameAsAbove(rows: readonly ScaleRow[], lane: number): boolean {
  const [above, here] = [rows[lane - 1], rows[lane]].map((row) => row && askedOf(row));
  return above != null && here != null && above.from === here.from && above.to === here.to;
}

/** Where a tone is meant, or claimed, to lie; null where nobody says. */
function askedOf({ row, claim }: ScaleRow): OpenRange | null {
  return claim?.range ?? row.placement;
}

function laneMarks(lanes: ScaleRow, lane: number, named: boolean, placedAsAbove: boolean): Marks {
  const { name, row, claim } = lanes;
  const { fall, tolerance, error, verdict } = row;
  const asked = askedOf(lanes);
  const middle = lane + 0.42;
  const marks: Marks[number][] = [];
  if (asked) {
    const [from, to] = [clamped(asked.from), clamped(asked.to)];
    const slack = tolerance ?? 0;
    marks.push(
      Plot.rect([0], {
        x1: clamped(asked.from - slack),
        x2: clamped(asked.to + slack),
        y1: lane + 0.14,
        y2: lane + 0.7,
        fill: "#000",
        fillOpacity: 0.07,
      }),
      Plot.rect([0], {
        x1: from,
        x2: Math.max(to, from + 0.03),
        y1: lane + 0.14,
        y2: lane + 0.7,
        fill: "#000",
        fillOpacity: 0.16,
      }),
      Plot.ruleX([from, to], {
        y1: lane + 0.14,
        y2: lane + 0.7,
        stroke: INK.text,
        strokeWidth: 1.2,
      }),
      Plot.text([0], {
        ...(middleOf(from, to) > 1.5
          ? { x: SCALE[1], textAnchor: "end" }
          : { x: middleOf(from, to) }),
        y: lane + 0.8,
        text: () => (placedAsAbove ? "" : `${claim ? "claimed" : "placed"} ${rangeText(asked)}`),
        fill: INK.text,
      }),
    );
  }
  if (fall) {
    const colour = verdict === "over" ? INK.warm : verdict === "under" ? INK.cool : INK.text;
    const at = clamped(fall.stops);
    const spread = error?.uncertainty ?? 0;
    const symbol = verdict === "over" || verdict === "under" ? "triangle" : "circle";
    const aside =
      asked !== null && Math.abs(at - middleOf(clamped(asked.from), clamped(asked.to))) < 2.2;
    marks.push(
      Plot.link([0], {
        x1: clamped(fall.p5),
        x2: clamped(fall.p95),
        y1: middle,
        y2: middle,
        stroke: colour,
        strokeWidth: 1.5,
      }),
      Plot.ruleX([clamped(fall.p5), clamped(fall.p95)], {
        y1: middle - 0.07,
        y2: middle + 0.07,
        stroke: colour,
      }),
      Plot.ruleX([clamped(fall.median)], {
        y1: middle - 0.14,
        y2: middle + 0.14,
        stroke: colour,
        strokeWidth: 1.5,
      }),
      Plot.link([0], {
        x1: clamped(fall.stops - spread),
        x2: clamped(fall.stops + spread),
        y1: middle,
        y2: middle,
        stroke: colour,
        strokeWidth: 6,
        strokeOpacity: 0.35,
      }),
      Plot.dot([0], {
        x: at,
        y: middle,
        symbol,
        r: 5,
        rotate: verdict === "under" ? 180 : 0,
        fill: colour,
        stroke: "#fff",
        strokeWidth: 1,
      }),
      Plot.text([0], {
        x: at,
        y: aside ? lane + 0.02 : lane + 0.8,
        text: () => `fell ${boundedStopsText(fall)}${arrow(fall.bound)}`,
        fill: colour,
        fontWeight: 600,
      }),
    );
  }
  if (named) {
    marks.push(
      Plot.text([0], {
        x: SCALE[0],
        y: lane + 0.8,
        text: () => name,
        textAnchor: "start",
        fill: INK.text,
      }),
    );
  }
  return marks;
}

function middleOf(from: number, to: number): number {
  return (from + to) / 2;
}

function arrow(bound: string | null): string {
  return bound === "at least" ? " →" : bound === "at most" ? " ←" : "";
}

function clamped(stops: number): number {
  return Math.min(SCALE[1], Math.max(SCALE[0], stops));
}

function sentence({ name, row, claim }: ScaleRow, named: boolean): string {
  const { placement, fall, error } = row;
  const subject = named ? `${name}: ` : "";
  if (!fall) return `${subject}${named ? "no" : "No"} tone could be measured.`;
  const fell = `${named ? "fell" : "Fell"} at ${boundedStopsText(fall)}`;
  if (claim) return `${subject}${fell}, claimed ${rangeText(claim.range)}: ${claim.outcome}.`;
  if (!placement || !error) return `${subject}${fell}.`;
  return `${subject}${fell}, placed at ${placementText(placement)}: ${outcomeText(row)}, error ${errorText(error)} stops.`;
}
