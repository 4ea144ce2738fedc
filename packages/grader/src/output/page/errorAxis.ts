import type { Bound, Verdict } from "@tonefall/tone-core";
import { html, type Markup } from "./markup.ts";
import { figure } from "./pageWords.ts";
import { px } from "./px.ts";

/** A frame on the axis. */
export interface AxisPoint {
  readonly id: string;
  readonly href: string;
  readonly number: number;
  readonly name: string;
  /** Error, or fall where nothing was placed; stops. */
  readonly stops: number;
  readonly bound: Bound | null;
  readonly verdict: Verdict | null;
  /** What it came to, for those who do not see where it stands. */
  readonly headline: string;
  /** Whether a small picture of it is in the page, as `#thumb-3`. */
  readonly pictured: boolean;
}

/** An axis of stops. */
export interface Axis {
  readonly title: string;
  /** What its numbers count; errors, or stops from middle grey, where nothing is said. */
  readonly along?: string;
  readonly points: readonly AxisPoint[];
  /** Half the width of the lane in the middle, stops; null where nothing was placed. */
  readonly tolerance: number | null;
}

/** Drawn for a wide and for a narrow place: width, height and the largest picture, units of the drawing. */
const PLACES = {
  wide: {
    width: 860,
    height: 430,
    sizes: [160, 144, 128, 112, 96, 84, 72, 60, 48, 40, 32, 26, 21, 16, 12],
  },
  narrow: { width: 360, height: 430, sizes: [60, 48, 40, 32, 26, 21, 16, 12, 9] },
} as const;

/** Beyond this a frame stands at the edge, with a mark and its figure. */
const FURTHEST = { error: 3, fall: 6 } as const;
/** A picture this wide, units of the drawing, has room for the figure of what lies beyond. */
const LABELLED = 40;

/** One this wide has room for the beginning of a name; narrower ones have a number. */
const NAMED = 60;
const GAP = 3;
const FOOT = 46;
const HEAD = 22;

/** Every frame at its error on one axis of stops, a link each; frames that hold stand in the lane of the tolerance. */
export function errorAxis(axis: Axis): Markup {
  return html`<figure class="axis-figure" role="group" aria-label="${axis.title}">${Object.entries(PLACES).map(([kind, place]) => drawing(kind, place, axis))}</figure>`;
}

type Place = (typeof PLACES)[keyof typeof PLACES];

/** Where a frame stands: the left end and the row of its picture, and the side of the axis; 0 is the lane or none. */
interface Standing {
  readonly point: AxisPoint;
  readonly x: number;
  /** Width of its picture. */
  readonly size: number;
  /** From below. */
  readonly row: number;
  readonly side: -1 | 0 | 1;
  readonly beyond: boolean;
}

interface Layout {
  readonly standing: readonly Standing[];
  /** How high the tallest stack is. */
  readonly tall: number;
  readonly at: (stops: number) => number;
  readonly ends: Ends;
}

/** The stops that an axis spans. */
type Ends = readonly [number, number];

/** Lays frames out without overlap, as large as they fit: those in the lane by themselves, and the others by themselves. */
function axisLayout(
  points: readonly AxisPoint[],
  tolerance: number | null,
  { width, height, sizes }: Place,
): Layout {
  const ends = axisEnds(points, tolerance);
  const inLane = (point: AxisPoint): boolean =>
    tolerance !== null &&
    (point.verdict === "within" ||
      (point.verdict === "undecided" && Math.abs(point.stops) <= tolerance));
  const free = points.filter((point) => !inLane(point));
  const scale = (size: number): ((stops: number) => number) => {
    const margin = size + 14;
    return (stops) => margin + ((stops - ends[0]) / (ends[1] - ends[0])) * (width - 2 * margin);
  };
  const room = height - FOOT - HEAD;
  const fitting = (stack: (size: number) => Standing[]): Standing[] => {
    const stacks = sizes.map(stack);
    return stacks.find((all) => tallest(all) <= room) ?? (stacks.at(-1) as Standing[]);
  };
  // The lane's width hangs on how large the others are drawn: room for them is left at both ends.
  const stood = fitting((size) =>
    freeStack(free, { at: scale(size), ends, size, placed: tolerance !== null }),
  );
  const at = scale(stood[0]?.size ?? sizes[2]);
  const lane = tolerance === null ? 0 : at(tolerance) - at(-tolerance);
  const held = points.filter(inLane);
  const block = fitting((size) => laneStack(held, { lane, size, width }));
  const standing = [...block, ...stood];
  return { standing, tall: tallest(standing), at, ends };
}

/** Errors lie to both sides of the lane, which is in the middle; falls take what room they need. */
function axisEnds(points: readonly AxisPoint[], tolerance: number | null): Ends {
  const furthest = FURTHEST[tolerance === null ? "fall" : "error"];
  const all = points.map(({ stops }) => stops);
  const [least, most] = [Math.min(...all, -(tolerance ?? 0)), Math.max(...all, tolerance ?? 0)];
  const out = (stops: number): number => Math.min(furthest, Math.max(1, Math.ceil(stops)));
  if (tolerance === null) return [-out(-least), out(most)];
  const reach = out(Math.max(-least, most));
  return [-reach, reach];
}

function heightOf(size: number): number {
  return Math.round((size * 2) / 3);
}

function tallest(standing: readonly Standing[]): number {
  return Math.max(0, ...standing.map(({ row, size }) => (row + 1) * (heightOf(size) + GAP)));
}

/** Frames that hold, side by side as the lane is wide; never wider than it unless one alone is. */
function laneStack(
  held: readonly AxisPoint[],
  { lane, size, width }: { readonly lane: number; readonly size: number; readonly width: number },
): Standing[] {
  const columns = Math.floor((lane + GAP) / (size + GAP));
  // Too large for the lane: as if it did not fit.
  const across = Math.max(1, columns);
  const blockWidth = Math.min(across, held.length) * (size + GAP) - GAP;
  return held.map((point, i) => ({
    point,
    size,
    x: width / 2 - blockWidth / 2 + (i % across) * (size + GAP),
    row: columns < 1 ? Number.POSITIVE_INFINITY : Math.floor(i / across),
    side: 0,
    beyond: false,
  }));
}

/** The others at their stops; a picture hangs outwards from its error, so that none reaches into the lane. */
function freeStack(
  free: readonly AxisPoint[],
  {
    at,
    ends: [from, to],
    size,
    placed,
  }: {
    readonly at: (stops: number) => number;
    readonly ends: Ends;
    readonly size: number;
    readonly placed: boolean;
  },
): Standing[] {
  const taken: number[] = [];
  return free
    .map((point) => {
      const side: Standing["side"] = !placed ? 0 : point.stops < 0 ? -1 : 1;
      const stops = Math.min(to, Math.max(from, point.stops));
      const x = at(stops) - (side === 0 ? size / 2 : side > 0 ? 0 : size);
      return { point, size, x, side, beyond: stops !== point.stops };
    })
    .sort((a, b) => a.x - b.x || a.point.number - b.point.number)
    .map((one) => {
      const below = taken.findIndex((end) => end + GAP + (one.side === 0 ? 0 : 6) <= one.x);
      const row = below < 0 ? taken.length : below;
      taken[row] = one.x + size;
      return { ...one, row };
    });
}

function drawing(kind: string, place: Place, { points, tolerance, along }: Axis): Markup {
  const layout = axisLayout(points, tolerance, place);
  const { standing, at, ends } = layout;
  const tall = Math.max(HEAD + layout.tall, 160) + FOOT;
  const floor = tall - FOOT;
  const ticks = Array.from({ length: ends[1] - ends[0] + 1 }, (_, i) => i + ends[0]);
  const middle = place.width / 2;
  const order = [...standing].sort(
    (a, b) => a.point.stops - b.point.stops || a.point.number - b.point.number,
  );
  return html`<svg class="axis ${kind}" viewBox="0 0 ${place.width} ${tall}">${
    tolerance !== null &&
    html`<rect class="lane" x="${px(at(-tolerance))}" width="${px(at(tolerance) - at(-tolerance))}" y="${HEAD - 4}" height="${px(floor - HEAD + 4)}"/>
<text class="under" x="0" y="13">▼ darker</text><text x="${middle}" y="13" text-anchor="middle">● within</text><text class="over" x="${place.width}" y="13" text-anchor="end">lighter ▲</text>`
  }
<line class="base" x1="0" x2="${place.width}" y1="${floor}" y2="${floor}"/>${ticks.map(
    (stop) =>
      html`<line class="base" x1="${px(at(stop))}" x2="${px(at(stop))}" y1="${floor}" y2="${floor + 5}"/><text class="tick" x="${px(at(stop))}" y="${floor + 20}" text-anchor="middle">${stop > 0 ? `+${stop}` : `${stop}`.replace("-", "−")}</text>`,
  )}<text class="tick" x="${middle}" y="${floor + 40}" text-anchor="middle">${along ?? (tolerance === null ? "stops from middle grey" : "stops of error")}</text>
${order.map((one) => frameOnAxis(one, floor))}</svg>`;
}

function frameOnAxis({ point, x, row, size, side, beyond }: Standing, floor: number): Markup {
  const height = heightOf(size);
  const y = floor - (row + 1) * (height + GAP);
  const { href, id, number, name, verdict, bound, stops, headline, pictured } = point;
  const edge = side > 0 ? x : x + size;
  const outside = side > 0 || (side === 0 && stops > 0) ? 1 : -1;
  const tip = outside > 0 ? x + size + 2 : x - 2;
  const marked = beyond || bound !== null;
  const numbered = !pictured && size < NAMED;
  const further = beyond && size >= LABELLED ? figure(stops) : null;
  // What is read aloud holds whatever words are seen.
  const label = `${numbered ? `${number} ` : ""}${name}: ${headline}${further ? `, ${further}` : ""}`;
  const words = pictured
    ? null
    : html`<rect class="blank" x="${px(x)}" y="${px(y)}" width="${size}" height="${height}"/><text class="blank-name" x="${px(x + size / 2)}" y="${px(y + height / 2 + 4)}" text-anchor="middle">${numbered ? number : shortName(name, size)}</text>`;
  return html`<a href="${href}" class="${verdict ?? "none"}" data-frame="${id}" data-stops="${stops.toFixed(3)}" aria-label="${label}">${pictured ? html`<use href="#thumb-${number}" x="${px(x)}" y="${px(y)}" width="${size}" height="${height}"/>` : words}${side !== 0 && html`<line class="stands" x1="${px(edge)}" x2="${px(edge)}" y1="${px(y)}" y2="${px(y + height)}"/>`}${marked && html`<path class="further" d="M${px(tip)} ${px(y + height / 2 - 5)}l${5 * outside} 5l${-5 * outside} 5z"/>`}${further && html`<text class="beyond" x="${px(x + size / 2)}" y="${px(y + height - 4)}" text-anchor="middle">${further}</text>`}<rect class="reach" x="${px(x)}" y="${px(y)}" width="${size}" height="${height}"/></a>`;
}

/** As many whole words of a name as a picture's place holds: what is read aloud begins with them too. */
function shortName(name: string, size: number): string {
  const last = name.slice(name.lastIndexOf("/") + 1);
  const most = Math.floor(size / 6.5);
  let end = most;
  while (end > LEAST_NAME && inWord(last[end]) && inWord(last[end - 1])) end--;
  const cutInWord = inWord(last[end]) && inWord(last[end - 1]);
  return last.slice(0, cutInWord ? most : end);
}

/** A first word longer than its place is cut rather than left out; characters. */
const LEAST_NAME = 3;

function inWord(character = ""): boolean {
  return /[\p{L}\p{N}]/u.test(character);
}
