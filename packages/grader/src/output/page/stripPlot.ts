import * as Plot from "@observablehq/plot";
import type { Verdict } from "@tonefall/tone-core";
import type { ExposureError } from "../../model/result.ts";
import type { Markup } from "./markup.ts";
import { INK, type Marks, plotFigure } from "./plotSvg.ts";

/** Errors further out than this, in stops, are drawn at the edge. */
const FURTHEST = 5;

/** What one place of the strip shows. */
interface StripPoint {
  readonly error: Pick<ExposureError, "stops" | "uncertainty" | "bound"> | null;
  readonly tolerance: number | null;
  readonly verdict: Verdict | null;
}

/** A strip and the words around it. */
export interface Strip {
  readonly title: string;
  readonly summary: string;
  /** What the places are counted as: `frame, in the order of the run`. */
  readonly along: string;
  readonly points: readonly StripPoint[];
}

/** Errors side by side, each with the band of its tolerance; null where there are none. */
export function stripPlot({ title, summary, along, points: rows }: Strip): Markup | null {
  const judged = rows.flatMap(({ error, tolerance, verdict }, i) =>
    error ? [{ frame: i + 1, error, tolerance: tolerance ?? 0, verdict }] : [],
  );
  if (judged.length === 0) return null;
  const edge = (stops: number): number => Math.min(FURTHEST, Math.max(-FURTHEST, stops));
  const points = judged.map(({ frame, error, tolerance, verdict }) => ({
    frame,
    tolerance,
    verdict,
    stops: edge(error.stops),
    low: edge(error.stops - error.uncertainty),
    high: edge(error.stops + error.uncertainty),
    mark: error.bound === "at least" ? "at least" : error.bound === "at most" ? "at most" : "",
  }));
  const reach = Math.max(1, ...points.flatMap(({ low, high }) => [-low, high])) * 1.08;
  const size = points.length > 150 ? 2.5 : 5;
  const of = (verdict: string): typeof points =>
    points.filter((point) => (point.verdict ?? "undecided") === verdict);
  const dots = (
    data: typeof points,
    options: {
      symbol: "triangle" | "circle" | "diamond";
      rotate?: number;
      fill: string;
      stroke?: string;
    },
  ): Marks[number] =>
    Plot.dot(data, { x: "frame", y: "stops", r: size, strokeWidth: 1.2, ...options });
  return plotFigure({
    title,
    heading: "h3",
    summary,
    // Beyond a screen's width it is scrolled.
    widths: { wide: 1080, narrow: Math.min(1080, Math.max(300, 90 + 14 * rows.length)) },
    options: (width) => ({
      width,
      height: 256,
      marginLeft: 100,
      marginRight: 16,
      marginTop: 14,
      marginBottom: 40,
      x: { domain: [0.5, rows.length + 0.5] },
      y: { domain: [-reach, reach], ticks: 6 },
      marks: [
        Plot.rect(points, {
          x1: ({ frame }) => frame - 0.5,
          x2: ({ frame }) => frame + 0.5,
          y1: ({ tolerance }) => -tolerance,
          y2: "tolerance",
          fill: "var(--lane)",
        }),
        Plot.ruleY([0], { stroke: INK.faint }),
        Plot.ruleX(points, { x: "frame", y1: "low", y2: "high", stroke: INK.faint }),
        dots(of("within"), { symbol: "circle", fill: INK.text }),
        dots(of("undecided"), { symbol: "diamond", fill: "var(--sheet)", stroke: INK.text }),
        dots(of("over"), { symbol: "triangle", fill: INK.warm }),
        dots(of("under"), { symbol: "triangle", rotate: 180, fill: INK.cool }),
        Plot.text(
          points.filter(({ mark }) => mark !== ""),
          {
            x: "frame",
            y: "stops",
            text: ({ mark }) => (mark === "at least" ? "↑" : "↓"),
            dy: -12,
            fill: INK.text,
          },
        ),
        Plot.axisY({
          ticks: 6,
          tickSize: 4,
          label: null,
          tickFormat: (stops: number) => (stops > 0 ? `+${stops}` : `${stops}`.replace("-", "−")),
        }),
        Plot.text(["▲ lighter"], {
          frameAnchor: "top-left",
          dx: -96,
          fill: INK.warm,
          textAnchor: "start",
        }),
        Plot.text(["▼ darker"], {
          frameAnchor: "bottom-left",
          dx: -96,
          fill: INK.cool,
          textAnchor: "start",
        }),
        Plot.axisX({
          tickSize: 4,
          ticks: Math.min(Math.floor(width / 76), rows.length),
          label: along,
          labelAnchor: "center",
          labelArrow: "none",
          tickFormat: (n: number) => (Number.isInteger(n) ? `${n}` : ""),
        }),
      ],
    }),
  });
}
