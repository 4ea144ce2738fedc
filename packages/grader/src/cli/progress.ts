import { SingleBar } from "cli-progress";
import type { Streams } from "./streams.ts";

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
    format: "{bar} {value} of {total} frames, {eta_formatted} left",
    barCompleteChar: "=",
    barIncompleteChar: "-",
    barsize: 24,
    hideCursor: true,
    clearOnComplete: true,
  });
  bar.start(total, 0);
  try {
    for await (const item of items) {
      bar.increment();
      yield item;
    }
  } finally {
    bar.stop();
  }
}
