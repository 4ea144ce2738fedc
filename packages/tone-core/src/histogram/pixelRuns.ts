import type { Spans } from "../region/rasteriseRegion.ts";

/** Runs of pixels, first and one past the last, with runs that continue on the next row joined. */
export function* pixelRuns(spans: Spans, width: number): Generator<[number, number]> {
  let from = 0;
  let to = 0;
  for (let i = 0; i < spans.length; i += 3) {
    const row = (spans[i] as number) * width;
    const start = row + (spans[i + 1] as number);
    if (start !== to) {
      if (to > from) yield [from, to];
      from = start;
    }
    to = row + (spans[i + 2] as number);
  }
  if (to > from) yield [from, to];
}
