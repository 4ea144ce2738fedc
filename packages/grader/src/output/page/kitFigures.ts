import * as Plot from "@observablehq/plot";
import type { CameraKit } from "../../kit/kit.ts";
import { stopsText } from "../../model/words.ts";
import { html, type Markup } from "./markup.ts";
import { INK, plotFigure } from "./plotSvg.ts";

const WIDTH = 640;

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

/** A kit's curve drawn with its points, the residuals of its frames, and both as tables. */
export function kitFigures({ curve, measured, uncertainty }: CameraKit): readonly Markup[] {
  const residuals = measured.residuals ?? [];
  return [
    ...(curve ? [curvePlot(curve, uncertainty), curveTable(curve)] : []),
    ...(residuals.length > 0 ? [residualPlot(residuals), residualTable(residuals)] : []),
  ];
}

function curvePlot(curve: Curves, uncertainty: number | null): Markup {
  const lines = LINES.filter(({ name }) => curve[name]);
  const points = curve.luminance.filter(({ code }) => code % POINT_STEP === 0);
  const known =
    uncertainty === null ? "" : ` One standard deviation is ${uncertainty.toFixed(2)} stop.`;
  return plotFigure({
    title: "Stops of light by code",
    summary: `Points with their standard deviation are of luminance; ${lines
      .map(({ name, dash }) => `${name} is ${DASHES[dash]}`)
      .join(", ")}.${known}`,
    widths: { wide: WIDTH },
    options: (width) => ({
      width,
      x: { label: "code, 8-bit scale", domain: [0, 255] },
      y: { label: "stops of light", grid: true },
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
  return html`<table><caption>Stops of light by code</caption><thead><tr><th scope="col">Code</th>${names.map(
    (name) => html`<th scope="col">${name}</th>`,
  )}<th scope="col">± luminance</th></tr></thead><tbody>${rows.map(
    ({ code, uncertainty }) =>
      html`<tr><th scope="row">${code}</th>${names.map((name) => {
        const point = curve[name]?.find((other) => other.code === code);
        return html`<td>${point ? stopsText(point.stops) : "-"}</td>`;
      })}<td>${uncertainty?.toFixed(3) ?? "-"}</td></tr>`,
  )}</tbody></table>`;
}

type Residuals = NonNullable<CameraKit["measured"]["residuals"]>;

function residualPlot(residuals: Residuals): Markup {
  const most = Math.max(...residuals.map(({ residual }) => residual));
  return plotFigure({
    title: "Residuals of the frames",
    summary: `How far each frame that was used lies from the curve at its given exposure; at most ${most.toFixed(3)} stop.`,
    widths: { wide: WIDTH },
    options: (width) => ({
      width,
      height: 160,
      x: { label: "given exposure, stops" },
      y: { label: "residual, stops", domain: [0, Math.max(0.15, most)], grid: true },
      marks: [
        Plot.ruleX(residuals, { x: "exposure", y: "residual", stroke: INK.text }),
        Plot.dot(residuals, { x: "exposure", y: "residual", fill: INK.text, r: 3 }),
      ],
    }),
  });
}

function residualTable(residuals: Residuals): Markup {
  return html`<table><caption>Residuals of the frames</caption><thead><tr><th scope="col">Given exposure</th><th scope="col">Residual</th></tr></thead><tbody>${residuals.map(
    ({ exposure, residual }) =>
      html`<tr><td>${stopsText(exposure)}</td><td>${residual.toFixed(3)}</td></tr>`,
  )}</tbody></table>`;
}
