import { SingleBar } from "cli-progress";
import type { Streams } from "./streams.ts";

/** Rate and time left are those of so many last frames: a resumed run begins fast, and raw files are slow. */
const WINDOW = 50;

/** Passes items through while a bar on stderr counts them; where stderr is no terminal it only passes them through. */
export async function* withProgress<T>(
  items: AsyncIterable<T>,
  total: number,
  { stderr }: Streams,
): AsyncGenerator<T> {
  if (!stderr.isTTY || total < 2) {
    yield* items;
    return;
  }
  const bar = new SingleBar({
    stream: stderr as NodeJS.WriteStream,
    format: "{bar} {value} of {total} frames, {rate} a second, {eta_formatted} left",
    etaBuffer: WINDOW,
    barCompleteChar: "=",
    barIncompleteChar: "-",
    barsize: 24,
    hideCursor: true,
    clearOnComplete: true,
  });
  bar.start(total, 0, { rate: "-" });
  let times = [performance.now()];
  try {
    for await (const item of items) {
      times = [...times, performance.now()].slice(-WINDOW);
      bar.increment(1, { rate: rateText(times) });
      yield item;
    }
  } finally {
    bar.stop();
  }
}

function rateText(times: readonly number[]): string {
  const [first = 0] = times;
  const seconds = ((times.at(-1) ?? 0) - first) / 1000;
  const rate = (times.length - 1) / seconds;
  return rate.toFixed(rate < 10 ? 1 : 0);
}
