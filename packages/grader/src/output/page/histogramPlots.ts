import * as Plot from "@observablehq/plot";
import { exp2 } from "@tonefall/tone-core";
import type { FrameHistograms, FrameResult } from "../../model/result.ts";
import { percentText } from "../../model/words.ts";
import type { FrameView } from "./frameView.ts";
import { html, type Markup } from "./markup.ts";
import { typeset } from "./pageWords.ts";
import { INK, type Marks, plotFigure } from "./plotSvg.ts";

/** One drawing for all screens: wide enough to read, narrow enough for a phone. */
const WIDTHS = { wide: 400 };
const LAYOUT = { height: 174, marginLeft: 6, marginRight: 6, marginTop: 18, marginBottom: 40 };

/** Cells that a histogram of 256 is drawn in. */
const DRAWN_CELLS = 64;

/** Histograms of a frame with its region laid over, and their figures as a table. */
export function histogramPlots(row: FrameResult, view: FrameView): readonly Markup[] {
  const { histograms, pixels, picture } = row;
  if (!histograms || !pixels || !picture) return [];
  const ends = {
    region: { black: row.crushed?.share ?? 0, clipped: row.clipped?.share ?? 0 },
    frame: { black: view.whole.crushedShare, clipped: view.whole.clippedShare },
  };
  const grey = picture.middleGrey;
  const code = view.codeOfStops;
  const linear = sharesPlot({
    title: "Linear light",
    unit: "share of full scale",
    domain: [0, 1],
    region: drawnCells(histograms.linear.counts, pixels),
    frame: drawnCells(view.whole.histograms.linear.counts, view.whole.pixels),
    ends,
    at: (stops) => grey * exp2(view.shownStops(stops)),
    row,
  });
  if (view.sensor) return [linear, sensorPlot(row, view.sensor)];
  if (!histograms.encoded || !view.whole.histograms.encoded || !code) return [linear];
  const encoded = sharesPlot({
    title: row.kit?.used === "curve" ? "The scene's light, encoded again" : "Encoded values",
    unit: "code, 0 to 255",
    domain: [0, 256],
    region: drawnCells(histograms.encoded.counts, pixels),
    frame: drawnCells(view.whole.histograms.encoded.counts, view.whole.pixels),
    ends,
    at: code,
    row,
  });
  return [linear, encoded];
}

interface SharesPlot {
  readonly title: string;
  readonly unit: string;
  readonly domain: readonly [number, number];
  readonly region: readonly number[];
  readonly frame: readonly number[];
  readonly ends: Readonly<
    Record<"region" | "frame", { readonly black: number; readonly clipped: number }>
  >;
  /** Where stops from middle grey lie on the axis. */
  readonly at: (stops: number) => number;
  readonly row: FrameResult;
}

function sharesPlot({ title, unit, domain, region, frame, ends, at, row }: SharesPlot): Markup {
  const [low, high] = domain;
  const span = high - low;
  const cell = span / region.length;
  const top = Math.max(...region, ...frame, 0.001);
  const steps = (shares: readonly number[]): { x: number; y: number }[] =>
    [...shares, shares.at(-1) ?? 0].map((share, i) => ({ x: low + i * cell, y: share }));
  const end = (side: -1 | 1, part: "region" | "frame", share: number): Marks[number] => {
    const from = side < 0 ? low - span * 0.09 : high + span * 0.04;
    const half = span * 0.025;
    const x1 = part === "frame" ? from : from + half;
    return Plot.rect([0], {
      x1,
      x2: x1 + half,
      y1: 0,
      y2: Math.min(top, share),
      ...(part === "frame" ? { fill: "var(--edge)" } : { fill: INK.text }),
    });
  };
  const { placement } = row;
  const { black, clipped } = ends.region;
  return plotFigure({
    title,
    summary: `Line: the region; grey: the whole frame. Region: ${percentText(black)} black, ${percentText(clipped)} with a clipped channel. Whole frame: ${percentText(ends.frame.black)} black, ${percentText(ends.frame.clipped)} clipped.`,
    widths: WIDTHS,
    options: (width) => ({
      width,
      ...LAYOUT,
      x: { domain: [low - span * 0.11, high + span * 0.11] },
      // Square root, so that small shares are seen beside large ones.
      y: { domain: [0, top], type: "sqrt", axis: null },
      marks: [
        ...(placement ? placementBand(placement, at, domain, top) : []),
        Plot.areaY(steps(frame), { x: "x", y: "y", curve: "step-after", fill: "var(--band)" }),
        Plot.lineY(steps(region), {
          x: "x",
          y: "y",
          curve: "step-after",
          stroke: INK.text,
          strokeWidth: 1.4,
        }),
        end(-1, "frame", ends.frame.black),
        end(-1, "region", black),
        end(1, "frame", ends.frame.clipped),
        end(1, "region", clipped),
        Plot.ruleX([low, high], { stroke: INK.faint }),
        Plot.ruleX([at(0)], { stroke: INK.text, strokeDasharray: "2 3" }),
        Plot.text([0], { x: at(0), y: top, dy: -9, text: () => "middle grey", fill: INK.text }),
        Plot.text([low - span * 0.065], {
          x: (x) => x,
          y: top,
          dy: -9,
          text: () => "black",
          fill: INK.faint,
        }),
        Plot.text([high + span * 0.065], {
          x: (x) => x,
          y: top,
          dy: -9,
          text: () => "clip",
          fill: INK.faint,
        }),
        Plot.ruleY([0], { stroke: INK.faint }),
        Plot.axisX({
          tickFormat: String,
          ticks: high === 1 ? [0, 0.25, 0.5, 0.75, 1] : [0, 64, 128, 192, 255],
          tickSize: 3,
          label: unit,
          labelAnchor: "center",
          labelArrow: "none",
        }),
      ],
    }),
  });
}

function placementBand(
  { from, to }: { readonly from: number; readonly to: number },
  at: (stops: number) => number,
  [low, high]: readonly [number, number],
  top: number,
): Marks {
  const within = (x: number): number => Math.min(high, Math.max(low, x));
  const x1 = within(at(from));
  const x2 = Math.max(within(at(to)), x1 + (high - low) * 0.004);
  return [Plot.rect([0], { x1, x2, y1: 0, y2: top, fill: INK.text, fillOpacity: 0.14 })];
}

/** Line patterns of a sensor's colours: told by dashes and words, not by colour. */
const DASHES: Readonly<Record<string, string>> = { red: "5 3", green: "", blue: "1 2" };

function sensorPlot(row: FrameResult, sensor: NonNullable<FrameView["sensor"]>): Markup {
  const DEEPEST = 12;
  const cells = 3 * DEEPEST;
  const shares = sensor.map(({ channel, region, frame }) => ({
    channel,
    region: region.stops.slice(0, cells),
    frame: frame.stops.slice(0, cells),
    clipped: { region: region.clipped, frame: frame.clipped },
  }));
  const top = Math.max(0.001, ...shares.flatMap(({ region, frame }) => [...region, ...frame]));
  const wholeFrame = Array.from({ length: cells }, (_, i) =>
    Math.max(...shares.map(({ frame }) => frame[i] ?? 0)),
  );
  const steps = (of: readonly number[]): { x: number; y: number }[] =>
    [...of, of.at(-1) ?? 0].map((share, i) => ({ x: -i / 3, y: share }));
  const grey = -(row.sensor?.middleGrey.stopsBelowSaturation ?? 0);
  const { placement } = row;
  return plotFigure({
    title: "The sensor's own values, before white balance",
    summary: `Red dashed, green solid, blue dotted; grey: the whole frame. Region clipped: ${shares.map(({ channel, clipped }) => `${channel} ${percentText(clipped.region)}`).join(", ")}. Whole frame: ${shares.map(({ channel, clipped }) => `${channel} ${percentText(clipped.frame)}`).join(", ")}.`,
    widths: WIDTHS,
    options: (width) => ({
      width,
      ...LAYOUT,
      x: { domain: [-DEEPEST, 1.2] },
      y: { domain: [0, top], type: "sqrt", axis: null },
      marks: [
        ...(placement ? placementBand(placement, (stops) => grey + stops, [-DEEPEST, 0], top) : []),
        Plot.areaY(steps(wholeFrame), {
          x: "x",
          y: "y",
          curve: "step-before",
          fill: "var(--band)",
        }),
        ...shares.flatMap(({ channel, region, clipped }, i) => [
          Plot.lineY(steps(region), {
            x: "x",
            y: "y",
            curve: "step-before",
            stroke: INK.text,
            strokeWidth: 1.4,
            ...(DASHES[channel] ? { strokeDasharray: DASHES[channel] } : {}),
          }),
          Plot.rect([0], {
            x1: 0.3 + i * 0.25,
            x2: 0.5 + i * 0.25,
            y1: 0,
            y2: Math.min(top, clipped.region),
            fill: INK.text,
          }),
        ]),
        Plot.ruleX([0], { stroke: INK.faint }),
        Plot.ruleX([grey], { stroke: INK.text, strokeDasharray: "2 3" }),
        Plot.text([0], { x: grey, y: top, dy: -9, text: () => "middle grey", fill: INK.text }),
        Plot.text([0], { x: 0.65, y: top, dy: -9, text: () => "clip", fill: INK.faint }),
        Plot.ruleY([0], { stroke: INK.faint }),
        Plot.axisX({
          ticks: [-12, -9, -6, -3, 0],
          tickSize: 3,
          label: "stops below saturation",
          labelAnchor: "center",
          labelArrow: "none",
        }),
      ],
    }),
  });
}

/** Shares in fewer, wider cells, the last code left out: what ends there is drawn apart. */
function drawnCells(counts: readonly number[], pixels: number): number[] {
  const joined = counts.length / DRAWN_CELLS;
  const cells = new Array<number>(DRAWN_CELLS).fill(0);
  for (const [i, count] of counts.slice(0, -1).entries()) {
    const cell = Math.floor(i / joined);
    cells[cell] = (cells[cell] as number) + count / pixels;
  }
  return cells;
}

/** Shares of region and frame by whole stops from middle grey: the histograms as a table. */
export function tonesTable({ histograms, pixels }: FrameResult, view: FrameView): Markup | null {
  if (!histograms || !pixels) return null;
  const region = byWholeStops(histograms.stops, pixels);
  const frame = byWholeStops(view.whole.histograms.stops, view.whole.pixels);
  return html`<table class="figures"><caption>Tones by stops from middle grey, shares of pixels</caption>
<thead><tr><th scope="col">Stops</th><th scope="col" class="number-cell">Region</th><th scope="col" class="number-cell">Whole frame</th></tr></thead>
<tbody>${region.map(([name, share], i) => html`<tr><th scope="row">${name}</th><td class="number-cell">${percentText(share)}</td><td class="number-cell">${percentText(frame[i]?.[1] ?? 0)}</td></tr>`)}</tbody></table>`;
}

function byWholeStops(
  { edges, counts, below, above }: FrameHistograms["stops"],
  pixels: number,
): [string, number][] {
  const whole = new Map<number, number>();
  for (const [i, count] of counts.entries()) {
    const stop = Math.floor((edges[i] as number) + 1e-6);
    whole.set(stop, (whole.get(stop) ?? 0) + count);
  }
  const low = Math.floor(edges[0] as number);
  const high = edges.at(-1) as number;
  return [
    [`below ${wholeStop(low)}`, below / pixels],
    ...[...whole].map(([stop, count]): [string, number] => [
      `${wholeStop(stop)} to ${wholeStop(stop + 1)}`,
      count / pixels,
    ]),
    [`above ${wholeStop(high)}`, above / pixels],
  ];
}

function wholeStop(stop: number): string {
  return typeset(stop > 0 ? `+${stop}` : String(stop));
}
