import * as Plot from "@observablehq/plot";
import { summarise, summaryText } from "../report/summarise.ts";
import type { FrameResult } from "../result.ts";
import type { Markup } from "./markup.ts";
import { INK, type Marks, plotFigure } from "./plotSvg.ts";

/** Errors further out than this, in stops, are drawn at the edge. */
const FURTHEST = 5;

/** Every frame's error in the order of the run, with the band of its tolerance. */
export function stripPlot(rows: readonly FrameResult[]): Markup | null {
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
    title: "Every frame's exposure error",
    summary: `In the order of the run, in stops; the grey band is each frame's tolerance. ${summaryText(summarise(rows))}. The table below holds the figures.`,
    options: {
      width: 1080,
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
          fill: "#dcdcdc",
        }),
        Plot.ruleY([0], { stroke: INK.faint }),
        Plot.ruleX(points, { x: "frame", y1: "low", y2: "high", stroke: INK.faint }),
        dots(of("within"), { symbol: "circle", fill: INK.text }),
        dots(of("undecided"), { symbol: "diamond", fill: "#fff", stroke: INK.text }),
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
          ticks: Math.min(14, rows.length),
          label: "frame, in the order of the run",
          labelAnchor: "center",
          labelArrow: "none",
          tickFormat: (n: number) => (Number.isInteger(n) ? `${n}` : ""),
        }),
      ],
    },
  });
}
