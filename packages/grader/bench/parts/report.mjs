import { reportOf2000Frames } from "../reportOf2000Frames.mjs";

/** It takes minutes and a browser. */
export const long = true;

/** A report of many frames: its making, its index and its first page of cards. */
export async function measure() {
  const { pages, ...run } = await reportOf2000Frames();
  const rounded = (row) =>
    Object.fromEntries(
      Object.entries(row).map(([key, value]) => [
        key,
        Number.isInteger(value) ? value : value.toFixed(2),
      ]),
    );
  return {
    about:
      "A report of 2,000 frames of half a megapixel: the run, then the index and the first page of cards as a browser opens them.",
    rows: [
      { what: "run", ...rounded(run) },
      ...pages.map((page, i) => ({ what: i === 0 ? "index" : "page of cards", ...rounded(page) })),
    ],
  };
}
