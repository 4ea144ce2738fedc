import type { ResponseObservation } from "@tonefall/tone-core";
import { hypot } from "@tonefall/tone-core";
import type { Block, BlockGrid } from "./flatBlocks.ts";

/** Places are spread over the tonal range: this many of the flattest in each run of this many codes, frame by frame. */
const RUN_CODES = 8;
const PLACES_A_RUN = 10;

/** A block that varies by this many codes is not flat. */
const MOST_DEVIATION = 10;

/** The codes of a flat place lie within this many standard deviations of their mean. */
const WITHIN_DEVIATIONS = 2.5;

/** For luminance, colour counts as unevenness by this factor: curves work on channels, so grey places show most. */
const COLOUR_WEIGHT = 0.15;

/** The error of a block's mean that more pixels do not reduce: of the coding, in codes, and as a share of unevenness. */
const CODING_ERROR = 0.1;
const UNEVEN_ERROR = 0.1;

/**
 * The places of a still scene that show most about one channel's response: flat, spread over the tonal range, and unclipped.
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
