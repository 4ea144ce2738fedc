import * as Plot from "@observablehq/plot";
import type { CameraKit } from "../../kit/kit.ts";
import { html, type Markup } from "./markup.ts";
import { figure } from "./pageWords.ts";
import { INK, plotFigure } from "./plotSvg.ts";

/** Labels keep their size, so a phone has a drawing of its own. */
const WIDTHS = { wide: 580, narrow: 280 };

/** Room for figures on the axis, pixels. */
const MARGINS = { marginLeft: 52, marginBottom: 44, marginTop: 30, marginRight: 12 };

/** Codes from one drawn point to the next. */
const POINT_STEP = 20;

/** Lines told apart by their dashes, not by colour. */
const LINES = [
  { name: "luminance", dash: "none" },
  { name: "red", dash: "8 4" },
  { name: "green", dash: "2 4" },
  { name: "blue", dash: "10 4 2 4" },
] as const;

type Curves = NonNullable<CameraKit["curve"]>;

/**
 * A kit's curve drawn with its points, the residuals of its frames, and both as tables.
 *
 * @param heading - the level of their titles
 */
export function kitFigures(
  { curve, measured, uncertainty }: CameraKit,
  heading: "h3" | "h4",
): readonly Markup[] {
  const residuals = measured.residuals ?? [];
  return [
    ...(curve ? [curvePlot(curve, uncertainty, heading), curveTable(curve)] : []),
    ...(residuals.length > 0 ? [residualPlot(residuals, heading), residualTable(residuals)] : []),
  ];
}

function curvePlot(curve: Curves, uncertainty: number | null, heading: "h3" | "h4"): Markup {
  const lines = LINES.filter(({ name }) => curve[name]);
  const points = curve.luminance.filter(({ code }) => code % POINT_STEP === 0);
  const known =
    uncertainty === null ? "" : ` One standard deviation is ${uncertainty.toFixed(2)} stop.`;
  return plotFigure({
    title: "Stops of light by code",
    heading,
    summary: `Points with their standard deviation are of luminance; ${lines
      .map(({ name, dash }) => `${name} is ${DASHES[dash]}`)
      .join(", ")}.${known}`,
    widths: WIDTHS,
    options: (width) => ({
      ...MARGINS,
      width,
      height: 360,
      x: { label: "code, 8-bit scale", domain: [0, 255], ticks: width < WIDTHS.wide ? 5 : 10 },
      y: { label: "stops of light", grid: true, tickFormat: figureTick },
      marks: [
        ...lines.map(({ name, dash }) =>
          Plot.lineY(curve[name] ?? [], {
            x: "code",
            y: "stops",
            stroke: name === "luminance" ? INK.text : INK.faint,
            strokeDasharray: dash,
          }),
        ),
        Plot.ruleX(points, {
          x: "code",
          y1: ({ stops, uncertainty: own = 0 }) => stops - own,
          y2: ({ stops, uncertainty: own = 0 }) => stops + own,
          stroke: INK.text,
        }),
        Plot.dot(points, { x: "code", y: "stops", fill: INK.text, r: 3 }),
      ],
    }),
  });
}

const DASHES: Readonly<Record<(typeof LINES)[number]["dash"], string>> = {
  none: "the full line",
  "8 4": "dashed",
  "2 4": "dotted",
  "10 4 2 4": "dashed and dotted",
};

function curveTable(curve: Curves): Markup {
  const names = LINES.map(({ name }) => name).filter((name) => curve[name]);
  const rows = curve.luminance.filter(({ code }) => code % POINT_STEP === 0);
  return tableOf(
    "Points of the curve",
    html`<table><caption>Stops of light by code</caption><thead><tr><th scope="col" class="number-cell">Code</th>${names.map(
      (name) => html`<th scope="col" class="number-cell">${name}</th>`,
    )}<th scope="col" class="number-cell">± luminance</th></tr></thead><tbody>${rows.map(
      ({ code, uncertainty }) =>
        html`<tr><th scope="row" class="number-cell">${code}</th>${names.map((name) => {
          const point = curve[name]?.find((other) => other.code === code);
          return html`<td class="number-cell">${point ? figure(point.stops) : "–"}</td>`;
        })}<td class="number-cell">${uncertainty?.toFixed(3) ?? "–"}</td></tr>`,
    )}</tbody></table>`,
  );
}

type Residuals = NonNullable<CameraKit["measured"]["residuals"]>;

function residualPlot(residuals: Residuals, heading: "h3" | "h4"): Markup {
  const most = Math.max(...residuals.map(({ residual }) => residual));
  return plotFigure({
    title: "Residuals of the frames",
    heading,
    summary: `How far each frame that was used lies from the curve at its given exposure; at most ${most.toFixed(3)} stop.`,
    widths: WIDTHS,
    options: (width) => ({
      ...MARGINS,
      width,
      height: 200,
      x: { label: "given exposure, stops", tickFormat: figureTick },
      y: { label: "residual, stops", domain: [0, Math.max(0.15, most)], grid: true, ticks: 4 },
      marks: [
        Plot.ruleX(residuals, { x: "exposure", y: "residual", stroke: INK.text }),
        Plot.dot(residuals, { x: "exposure", y: "residual", fill: INK.text, r: 3 }),
      ],
    }),
  });
}

function residualTable(residuals: Residuals): Markup {
  return tableOf(
    "Residuals in figures",
    html`<table><caption>Residuals of the frames, stops</caption><thead><tr><th scope="col" class="number-cell">Given exposure</th><th scope="col" class="number-cell">Residual</th></tr></thead><tbody>${residuals.map(
      ({ exposure, residual }) =>
        html`<tr><td class="number-cell">${figure(exposure)}</td><td class="number-cell">${residual.toFixed(3)}</td></tr>`,
    )}</tbody></table>`,
  );
}

/** The figures behind a plot, folded below it. */
function tableOf(summary: string, table: Markup): Markup {
  return html`<details><summary>${summary}</summary>${table}</details>`;
}

function figureTick(stops: number): string {
  const text = String(Number(Math.abs(stops).toFixed(1)));
  return stops === 0 ? "0" : `${stops > 0 ? "+" : "−"}${text}`;
}
