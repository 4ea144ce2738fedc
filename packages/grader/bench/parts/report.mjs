import { reportOf2000Frames } from "../reportOf2000Frames.mjs";

/** It takes minutes and a browser. */
export const long = true;

/** A report of many frames: its making, its index and its first page of cards. */
export async function measure() {
  const { runs, pages } = await reportOf2000Frames();
  return {
    about:
      "Reports of 200 and of 2,000 frames of half a megapixel, each made by a process of its own; then the smaller, and the index and the first page of cards of the larger, as a browser opens them and scrolls through them.",
    rows: [...runs, ...pages],
  };
}
