import { html, type Markup } from "../markup.ts";
import { rangeFigure } from "../pageWords.ts";
import { px } from "../px.ts";
import { RULER_ENDS } from "../ruler.ts";
import type { WallFrame } from "../wallData.ts";
import {
  ANSWERS,
  type Answer,
  AT_GREY_STOPS,
  answerOf,
  type Hands,
  truthWords,
} from "./wallLesson.ts";

/** How far a ghost stands from the lane that its hands think is missed, stops. */
const GHOST_STOPS = 0.9;

/** Strokes are this share of the height of the type, and so at least 4 pixels on a small projector. */
const STROKE = 0.14;

/** What a ruler shows. */
export interface WallRuler {
  readonly frame: WallFrame;
  readonly hands: Hands;
  /** Whether the truth is shown. */
  readonly revealed: boolean;
  /** Pixels. */
  readonly width: number;
  /** Size of the type, pixels; everything else follows from it. */
  readonly type: number;
}

/** Stops as a ruler names them: `−2`, `0`, `+1`. */
function tickText(stops: number): string {
  return stops === 0 ? "0" : `${stops > 0 ? "+" : "−"}${Math.abs(stops)}`;
}

/** The lane in which a tone is right, and the ends of the ruler, stops. */
export function laneOf({ data: { placement, tolerance } }: WallFrame): {
  readonly from: number;
  readonly to: number;
  readonly ends: readonly [number, number];
} {
  const slack = placement ? (tolerance ?? 0) : AT_GREY_STOPS;
  const from = (placement?.from ?? 0) - slack;
  const to = (placement?.to ?? 0) + slack;
  // The truth widens nothing: a wider ruler would give it away.
  const ends = [
    Math.min(RULER_ENDS[0], Math.floor(from - GHOST_STOPS)),
    Math.max(RULER_ENDS[1], Math.ceil(to + GHOST_STOPS)),
  ] as const;
  return { from, to, ends };
}

/**
 * One ruler in strokes that carry to the back row: hands as outlined ghosts above, the lane where the tone is right, and
 * the truth below it.
 */
export function wallRuler({ frame, hands, revealed, width, type }: WallRuler): Markup {
  const { from, to, ends } = laneOf(frame);
  const stroke = Math.max(4, STROKE * type);
  const margin = 1.2 * type;
  const x = (stops: number): number => {
    const held = Math.min(ends[1], Math.max(ends[0], stops));
    return margin + ((held - ends[0]) / (ends[1] - ends[0])) * (width - 2 * margin);
  };
  const lane = { top: 1.5 * type, height: 0.95 * type };
  const truth = 3.15 * type;
  const base = 3.9 * type;
  const height = 5.5 * type;
  const whole = Array.from({ length: ends[1] - ends[0] + 1 }, (_, i) => ends[0] + i);
  const ghostAt: Readonly<Record<Answer, number>> = {
    under: from - GHOST_STOPS,
    within: (from + to) / 2,
    over: to + GHOST_STOPS,
  };
  const ghosts = ANSWERS.filter((answer) => hands[answer] > 0).map((answer) => {
    const at = x(ghostAt[answer]);
    return html`<g class="ghost" data-answer="${answer}">${shape(answer, at - 0.5 * type, 0.75 * type, 0.36 * type)}<text x="${px(at + 0.1 * type)}" y="${px(1.1 * type)}" text-anchor="start">${hands[answer]}</text></g>`;
  });
  const { placement, fall } = frame.data;
  return html`<svg class="wall-ruler" viewBox="0 0 ${px(width)} ${px(height)}" width="${px(width)}" height="${px(height)}" role="img" aria-label="${sentence(frame, revealed)}" font-size="${px(type)}" stroke-width="${px(stroke)}">
<rect class="lane" x="${px(x(from))}" y="${px(lane.top)}" width="${px(x(to) - x(from))}" height="${px(lane.height)}"/>
${placement && html`<rect class="placed" x="${px(x(placement.from) - stroke / 2)}" y="${px(lane.top)}" width="${px(x(placement.to) - x(placement.from) + stroke)}" height="${px(lane.height)}"/>`}
${word(placement ? "placed" : "middle grey", x(from), x(to), lane.top + lane.height / 2)}
${ghosts}
${revealed && fall && truthMarks(fall)}
<line class="base" x1="${px(x(ends[0]))}" x2="${px(x(ends[1]))}" y1="${px(base)}" y2="${px(base)}"/>
${whole.map((stops) => html`<line class="tick" x1="${px(x(stops))}" x2="${px(x(stops))}" y1="${px(base)}" y2="${px(base + (stops === 0 ? 0.5 : 0.3) * type)}"/><text x="${px(x(stops))}" y="${px(base + 1.4 * type)}" text-anchor="middle">${tickText(stops)}</text>`)}
</svg>`;

  function truthMarks({ stops, bound }: NonNullable<typeof fall>): Markup {
    const [side, at] = [answerOf(frame) ?? "within", x(stops)];
    const spread = frame.data.lane?.fall?.spread ?? null;
    const on = bound === "at most" || stops < ends[0] ? -1 : bound || stops > ends[1] ? 1 : null;
    return html`<g class="truth ${placement ? side : "none"}">${spread && html`<line x1="${px(x(spread[0]))}" x2="${px(x(spread[1]))}" y1="${px(truth)}" y2="${px(truth)}"/>`}<line class="needle" x1="${px(at)}" x2="${px(at)}" y1="${px(lane.top + lane.height)}" y2="${px(base)}"/>${shape(side, at, truth, 0.52 * type)}${on && arrow(on, at, truth, type)}${word("fell", Math.min(x(spread?.[0] ?? stops), at - (on === -1 ? 1.8 : 0.5) * type), Math.max(x(spread?.[1] ?? stops), at + (on === 1 ? 1.8 : 0.5) * type), truth)}</g>`;
  }

  /** Names what lies between two places, beside it on the side with more room. */
  function word(text: string, left: number, right: number, middle: number): Markup {
    const after = width - right > left;
    const at = after ? right + 0.4 * type : left - 0.4 * type;
    return html`<text x="${px(at)}" y="${px(middle + 0.35 * type)}" text-anchor="${after ? "start" : "end"}">${text}</text>`;
  }

  function shape(answer: Answer, cx: number, cy: number, r: number): Markup {
    if (answer === "within")
      return html`<circle cx="${px(cx)}" cy="${px(cy)}" r="${px(0.85 * r)}"/>`;
    const up = answer === "over" ? 1 : -1;
    return html`<polygon points="${px(cx - r)},${px(cy + 0.85 * up * r)} ${px(cx + r)},${px(cy + 0.85 * up * r)} ${px(cx)},${px(cy - 0.95 * up * r)}"/>`;
  }

  /** A bound: the true tone lies on in this direction. */
  function arrow(side: -1 | 1, cx: number, cy: number, size: number): Markup {
    const [start, tip] = [cx + 0.7 * side * size, cx + 1.6 * side * size];
    return html`<path class="bound" d="M${px(start)} ${px(cy)}H${px(tip)}M${px(tip - 0.4 * side * size)} ${px(cy - 0.35 * size)}L${px(tip)} ${px(cy)}L${px(tip - 0.4 * side * size)} ${px(cy + 0.35 * size)}"/>`;
  }
}

function sentence(frame: WallFrame, revealed: boolean): string {
  const { placement } = frame.data;
  const placed = placement ? `Placed at ${rangeFigure(placement)}` : "Nobody placed this tone";
  return `${placed}, on a ruler of stops from middle grey.${revealed ? ` The truth: ${truthWords(frame)}.` : ""}`;
}
