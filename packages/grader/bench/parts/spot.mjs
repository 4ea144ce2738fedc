import { spotMoves } from "../spotMoves.mjs";

/** It takes a browser. */
export const long = true;

/** The movable spot: script and layout of each redraw. */
export async function measure() {
  return {
    about:
      "A spot moved 200 times over the card of a frame of 24 megapixels at 1440 by 900: script and layout of each redraw, at most one for a frame of the display.",
    rows: await spotMoves(),
  };
}
