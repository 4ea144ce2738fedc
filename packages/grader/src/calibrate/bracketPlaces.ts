import type { ResponseObservation } from "@tonefall/tone-core";
import { hypot } from "@tonefall/tone-core";
import type { Block, BlockGrid } from "./flatBlocks.ts";

/** Places are chosen over the tonal range: so many of the flattest for every run of so many codes of every frame. */
const RUN_CODES = 8;
const PLACES_A_RUN = 10;

/** A block this uneven, in codes, is no flat place. */
const MOST_DEVIATION = 10;

/** Codes of a flat place lie within so many deviations of its mean. */
const WITHIN_DEVIATIONS = 2.5;

/** Colour counts so much of unevenness where luminance is asked for: curves work on channels, so grey places tell most. */
const COLOUR_WEIGHT = 0.15;

/** Error of a block's mean that no number of pixels takes away: of the coding, codes; and as a share of unevenness. */
const CODING_ERROR = 0.1;
const UNEVEN_ERROR = 0.1;

/**
 * The places of a still scene that tell most of one channel's response: flat, spread over the tonal range, and unclipped.
 *
 * The ends of the scale are where the pictures end, which need not be 0 and 255: a soft rendering clips below white.
 *
 * @param grids - one for each frame, all of one size
 * @param channel - index into the grids' channels
 */
export function bracketPlaces(
  grids: readonly BlockGrid[],
  channel: number,
): readonly (readonly ResponseObservation[])[] {
  const frames = grids.map(({ blocks }) => blocks[channel] as readonly Block[]);
  const [bottom, top] = scaleEnds(frames);
  const chosen = new Set<number>();
  for (const [frame, blocks] of frames.entries()) {
    const runs = new Map<number, { place: number; rank: number }[]>();
    for (const [place, block] of blocks.entries()) {
      if (!isUsable(block, bottom, top)) continue;
      const run = Math.floor(block.code / RUN_CODES);
      const rank = block.deviation + colourAt(grids[frame] as BlockGrid, channel, place);
      const list = runs.get(run);
      if (list) list.push({ place, rank });
      else runs.set(run, [{ place, rank }]);
    }
    for (const list of runs.values()) {
      list.sort((a, b) => a.rank - b.rank || a.place - b.place);
      for (const { place } of list.slice(0, PLACES_A_RUN)) chosen.add(place);
    }
  }
  return [...chosen]
    .sort((a, b) => a - b)
    .map((place) =>
      frames.flatMap((blocks, frame) => {
        const block = blocks[place] as Block;
        if (!isUsable(block, bottom, top)) return [];
        return [{ frame, code: block.code, codeError: codeError(block) }];
      }),
    );
}

/** The codes at which the pictures of a bracket end. */
function scaleEnds(frames: readonly (readonly Block[])[]): readonly [number, number] {
  let [bottom, top] = [255, 0];
  for (const blocks of frames) {
    for (const { least, greatest } of blocks) {
      bottom = Math.min(bottom, least);
      top = Math.max(top, greatest);
    }
  }
  return [bottom, top];
}

function isUsable(
  { code, deviation, least, greatest }: Block,
  bottom: number,
  top: number,
): boolean {
  const reach = WITHIN_DEVIATIONS * deviation;
  return (
    deviation <= MOST_DEVIATION &&
    least > bottom &&
    greatest < top - 1 &&
    code - reach > bottom + 1 &&
    code + reach < top - 1
  );
}

/** How far from grey a place is, as unevenness; only of luminance. */
function colourAt({ blocks }: BlockGrid, channel: number, place: number): number {
  if (channel < blocks.length - 1) return 0;
  const codes = blocks.slice(0, -1).map((own) => (own[place] as Block).code);
  return COLOUR_WEIGHT * (Math.max(...codes) - Math.min(...codes));
}

function codeError({ deviation, pixels }: Block): number {
  return hypot(CODING_ERROR, deviation / Math.sqrt(pixels), UNEVEN_ERROR * deviation);
}
