import * as Plot from "@observablehq/plot";
import type { TermProgress } from "../../classes/progress/termProgress.ts";
import { shortened } from "../text/shortened.ts";
import type { Markup } from "./markup.ts";
import { INK, plotFigure } from "./plotSvg.ts";

/** Misses further out than this, stops, are drawn at the edge. */
const FURTHEST = 3;

/** Panels beside each other, on wide and on narrow screens. */
const ACROSS = { wide: 6, narrow: 2 } as const;

const WIDTHS = { wide: 1080, narrow: 340 } as const;

/** Letters of a name that stand over a panel, in bold. */
const LETTERS = 20;

/** Height of a panel, pixels. */
const PANEL = 96;

/** The usual tolerance, stops. */
const HELD = 1 / 3;

/**
 * Each student's misses along the term, as small multiples on one scale: dots with their range, over the class's median.
 *
 * @returns null before a second exercise: one dot shows no progress
 */
export function progressPlots(
  { students, exercises }: TermProgress,
  nameOf: (student: string) => string,
): Markup | null {
  if (exercises.length < 2) return null;
  const edge = (stops: number): number => Math.min(FURTHEST, stops);
  const points = students.flatMap((student, at) =>
    student.exercises.flatMap(({ missStops }, i) =>
      missStops
        ? [
            {
              at,
              week: i + 1,
              miss: edge(missStops.median),
              least: edge(missStops.least),
              most: edge(missStops.most),
            },
          ]
        : [],
    ),
  );
  const everywhere = students.flatMap((_, at) =>
    exercises.flatMap(({ missStops }, i) =>
      missStops ? [{ at, week: i + 1, miss: edge(missStops.median) }] : [],
    ),
  );
  const titles = students.map(({ student }, at) => ({
    at,
    name: shortened(nameOf(student), LETTERS),
  }));
  const most = Math.max(1, ...points.map((point) => point.most));
  return plotFigure({
    title: "Misses along the term",
    heading: "h3",
    summary: `Size of the miss in stops, one panel a student, one dot an exercise; the upright line is the range of its frames, the faint line the class's median, the band is 1/3 stop. Lower is closer. The table above holds the figures.`,
    widths: WIDTHS,
    options: (width) => {
      const across = width > WIDTHS.narrow ? ACROSS.wide : ACROSS.narrow;
      const cell = <T extends { at: number }>(
        data: readonly T[],
      ): (T & { fx: number; fy: number })[] =>
        data.map((one) => ({ ...one, fx: one.at % across, fy: Math.floor(one.at / across) }));
      const facet = { fx: "fx", fy: "fy" };
      return {
        width,
        height: 40 + PANEL * Math.ceil(students.length / across),
        marginLeft: 34,
        marginRight: 8,
        marginTop: 18,
        marginBottom: 26,
        fx: { axis: null, padding: 0.12 },
        fy: { axis: null, padding: 0.28 },
        x: {
          domain: [0.5, exercises.length + 0.5],
          ticks: [1, exercises.length],
          tickFormat: (week: number) => `${week}`,
          tickSize: 3,
          label: null,
        },
        y: {
          domain: [0, most],
          ticks: [0, 1, 2, 3].filter((tick) => tick <= most),
          tickSize: 3,
          tickFormat: (stops: number) => `${stops}`,
          label: null,
        },
        marks: [
          Plot.rect(cell(titles), {
            ...facet,
            x1: 0.5,
            x2: exercises.length + 0.5,
            y1: 0,
            y2: HELD,
            fill: "var(--lane)",
          }),
          Plot.line(cell(everywhere), {
            ...facet,
            x: "week",
            y: "miss",
            z: "at",
            stroke: INK.faint,
            strokeWidth: 1,
          }),
          Plot.ruleX(cell(points), {
            ...facet,
            x: "week",
            y1: "least",
            y2: "most",
            stroke: INK.text,
            strokeOpacity: 0.5,
          }),
          Plot.line(cell(points), {
            ...facet,
            x: "week",
            y: "miss",
            z: "at",
            stroke: INK.text,
            strokeWidth: 1.5,
          }),
          Plot.dot(cell(points), { ...facet, x: "week", y: "miss", r: 2.5, fill: INK.text }),
          Plot.text(cell(titles), {
            ...facet,
            text: "name",
            frameAnchor: "top-left",
            dy: -14,
            textAnchor: "start",
            fontWeight: "bold",
            fill: INK.text,
          }),
        ],
      };
    },
  });
}
