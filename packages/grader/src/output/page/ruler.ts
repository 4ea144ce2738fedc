import { type Bound, log2, type Verdict } from "@tonefall/tone-core";
import { type Content, html, type Markup } from "./markup.ts";
import { boundedFigure, rangeFigure, typeset } from "./pageWords.ts";

/** One tone on a ruler. */
export interface RulerLane {
  /** Null where the ruler has one lane, whose name stands beside it. */
  readonly name: string | null;
  /** Where the tone was asked to lie, stops; an open end is infinite. Null where nobody asked. */
  readonly asked: {
    readonly from: number;
    readonly to: number;
    readonly word: "placed" | "claimed";
  } | null;
  /** Stops to either side that still count as held. */
  readonly tolerance: number | null;
  /** Where it fell; null where nothing tells, or where a class has yet to guess. */
  readonly fall: RulerFall | null;
}

/** Where a tone fell, as a ruler shows it; stops from middle grey. */
interface RulerFall {
  readonly stops: number;
  /** Shadows and lights of the region, its 5th and 95th percentile; null where they are not shown. */
  readonly spread: readonly [number, number] | null;
  /** One standard deviation; 0 where it is not shown. */
  readonly uncertainty: number;
  readonly bound: Bound | null;
  readonly verdict: Verdict | null;
}

/** What a ruler spans unless a tone lies outside, stops from middle grey. */
export const RULER_ENDS: readonly [number, number] = [-4, 3];

/** Height of a lane, and of the strip of tones with the numbers below, pixels. */
const LANE = 64;
const FOOT = 44;

/** A name stands above its lane, where no figure of the lane can meet it. */
const NAME = 18;

/** As much of a name as the narrowest ruler holds, characters. */
const NAME_LENGTH = 40;

/**
 * One ruler of stops for every page: tones below, and above them a lane for each tone with where it was asked to lie and
 * where it fell. It is as wide as the place it stands in, with lines and letters of one size at any width.
 *
 * @param title - what it shows, for those who do not see it; the words beside it say the rest
 */
export function ruler(title: string, lanes: readonly RulerLane[], end?: number): Markup {
  const ends = rulerEnds(lanes);
  const laneHeight = lanes.some(({ name }) => name !== null) ? NAME + LANE : LANE;
  const foot = laneHeight * lanes.length;
  const height = foot + FOOT;
  return html`<svg class="ruler" role="img" aria-label="${title}" width="100%" height="${height}" data-from="${ends[0]}" data-to="${ends[1]}"><line class="grey" x1="${at(0, ends)}" x2="${at(0, ends)}" y1="18" y2="${foot}"/>${lanes.map((lane, i) => laneMarks(lane, laneHeight * (i + 1) - LANE, ends))}
${toneStrip(foot, ends, end ?? -log2(0.18))}
${wholeStops(ends).map((stop) => html`<g class="tick"><line x1="${at(stop, ends)}" x2="${at(stop, ends)}" y1="${foot + 14}" y2="${foot + 19}"/><text x="${at(stop, ends)}" y="${foot + 34}" text-anchor="${anchorOf(stop, ends)}">${tickText(stop)}</text></g>`)}</svg>`;
}

/** The stops that a ruler spans: -4 to +3, and further only where something lies further out. */
function rulerEnds(lanes: readonly RulerLane[]): readonly [number, number] {
  const told = lanes.flatMap(({ asked, fall }) => [asked?.from, asked?.to, fall?.stops]);
  const finite = told.filter((stops): stops is number => Number.isFinite(stops));
  return [
    Math.max(-10, Math.min(RULER_ENDS[0], ...finite.map((stops) => Math.floor(stops)))),
    Math.min(8, Math.max(RULER_ENDS[1], ...finite.map((stops) => Math.ceil(stops)))),
  ];
}

/**
 * A place on a ruler as a share of its width, such as `57.14%`; what lies beyond an end is at it.
 *
 * @public the page's own code moves needles by it
 */
export function rulerAt(stops: number, ends: readonly [number, number]): string {
  return at(stops, ends);
}

/** What the marks of rulers mean, in one line. */
export function rulerKey(lanes: readonly RulerLane[]): Markup {
  const has = (holds: (lane: RulerLane) => unknown): boolean =>
    lanes.some((lane) => Boolean(holds(lane)));
  const entry = (drawing: Content, words: string): Markup =>
    html`<li><svg class="ruler" aria-hidden="true">${drawing}</svg>${words}</li>`;
  return html`<ul class="ruler-key">${[
    has(({ tolerance, asked }) => tolerance && asked) &&
      entry(
        html`<rect class="tolerance" width="20" height="12"/><rect class="asked" x="6" width="8" height="12"/>`,
        `${lanes.every(({ asked }) => asked?.word === "claimed") ? "claim" : "placement"} in its tolerance`,
      ),
    has(({ fall }) => fall?.spread) &&
      entry(
        html`<g class="fall"><line class="spread" x1="0" x2="20" y1="6" y2="6"/></g>`,
        "5 % to 95 % of the region",
      ),
    has(({ fall }) => fall?.bound) &&
      entry(
        html`<g class="fall"><path class="shape" d="M6 1l6 5l-6 5z"/></g>`,
        "or further: clipped or black",
      ),
  ]}</ul>`;
}

function laneMarks(
  { name, asked, tolerance, fall }: RulerLane,
  top: number,
  ends: readonly [number, number],
): Markup {
  const [bandTop, bandHeight] = [top + 20, 24];
  const band = (from: number, to: number, kind: string): Markup => {
    const [left, right] = [share(from, ends), share(to, ends)];
    const least = 0.5;
    const width = Math.max(right - left, least);
    return html`<rect class="${kind}" x="${percent(Math.min(left, 100 - least) - (right - left < least ? least / 2 : 0))}" width="${percent(width)}" y="${bandTop}" height="${bandHeight}"/>`;
  };
  const middle = asked ? (finite(asked.from, ends) + finite(asked.to, ends)) / 2 : 0;
  return html`<g>${name === null ? null : html`<text class="ruler-name" x="0" y="${top - 2}">${name.length > NAME_LENGTH ? `${name.slice(0, NAME_LENGTH - 1)}…` : name}</text>`}${
    asked
      ? html`${tolerance ? band(asked.from - tolerance, asked.to + tolerance, "tolerance") : null}${band(asked.from, asked.to, "asked")}<text class="asked-word" x="${at(middle, ends)}" y="${top + 15}" text-anchor="${anchorOf(middle, ends)}">${asked.word} ${rangeFigure(asked)}</text>`
      : null
  }${fall ? fallMarks(fall, bandTop + bandHeight / 2, ends) : null}</g>`;
}

function fallMarks(
  { stops, spread, uncertainty, bound, verdict }: RulerFall,
  y: number,
  ends: readonly [number, number],
): Markup {
  const line = (from: number, to: number, kind: string): Markup =>
    html`<line class="${kind}" x1="${at(from, ends)}" x2="${at(to, ends)}" y1="${y}" y2="${y}"/>`;
  return html`<g class="fall ${verdict ?? "none"}">${spread && line(spread[0], spread[1], "spread")}${uncertainty > 0 && line(stops - uncertainty, stops + uncertainty, "unsure")}<svg x="${at(stops, ends)}" y="${y}" overflow="visible"><path class="shape" d="${SHAPES[verdict ?? "none"]}"/>${bound && html`<path d="${bound === "at least" ? "M11 -5l8 5l-8 5z" : "M-11 -5l-8 5l8 5z"}"/>`}</svg><text x="${at(stops, ends)}" y="${y + 28}" text-anchor="${anchorOf(stops, ends)}">fell ${boundedFigure({ stops, bound })}</text></g>`;
}

/** A mark says which way by its shape: up is lighter, down darker, round is within, a diamond cannot tell. */
const SHAPES: Readonly<Record<Verdict | "none", string>> = {
  over: "M0 -7l7.5 13h-15z",
  under: "M0 7l7.5 -13h-15z",
  within: "M-6 0a6 6 0 1 0 12 0a6 6 0 1 0 -12 0z",
  undecided: "M0 -7l7 7l-7 7l-7 -7z",
  none: "M-6 0a6 6 0 1 0 12 0a6 6 0 1 0 -12 0z",
};

/** The tones themselves, from black to where the picture's own scale ends. */
function toneStrip(y: number, ends: readonly [number, number], end: number): Markup {
  const [from, to] = TONES;
  const width = share(end, ends);
  const [left, right] = [rawShare(from, ends), rawShare(to, ends)];
  return html`<svg x="0" y="${y + 2}" width="${percent(width)}" height="10"><rect x="${percent((100 * left) / width)}" width="${percent((100 * (right - left)) / width)}" height="10" fill="url(#tones)"/></svg><rect class="tones" fill="none" x="0" y="${y + 2}" width="${percent(width)}" height="10"/>`;
}

/** What the gradient of tones in every page's shell spans, stops. */
export const TONES: readonly [number, number] = [-8, -log2(0.18)];

function wholeStops([from, to]: readonly [number, number]): number[] {
  return Array.from({ length: to - from + 1 }, (_, i) => from + i);
}

function tickText(stop: number): string {
  return typeset(stop > 0 ? `+${stop}` : String(stop));
}

/** Words near an end lean inwards. */
function anchorOf(stops: number, ends: readonly [number, number]): string {
  const here = share(stops, ends);
  return here < 12 ? "start" : here > 88 ? "end" : "middle";
}

function at(stops: number, ends: readonly [number, number]): string {
  return percent(share(stops, ends));
}

function share(stops: number, ends: readonly [number, number]): number {
  return rawShare(finite(stops, ends), ends);
}

function rawShare(stops: number, [from, to]: readonly [number, number]): number {
  return (100 * (stops - from)) / (to - from);
}

function finite(stops: number, [from, to]: readonly [number, number]): number {
  return Math.min(to, Math.max(from, stops));
}

function percent(value: number): string {
  return `${Number(value.toFixed(2))}%`;
}
