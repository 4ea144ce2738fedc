import type { Streams } from "./streams.ts";

/** Frames that the rate is taken from, the last ones: a resumed run begins fast, and raw files are slow. */
const WINDOW = 50;

/** Passes items through while a progress bar on stderr counts them; without a terminal there it only passes them through. */
export async function* withProgress<T>(
  items: AsyncIterable<T>,
  total: number,
  { stderr }: Streams,
): AsyncGenerator<T> {
  if (!stderr.isTTY || total < 2) {
    yield* items;
    return;
  }
  const { SingleBar } = await import("cli-progress");
  const bar = new SingleBar({
    stream: stderr as NodeJS.WriteStream,
    format: "{bar}{value} of {total} frames{pace}",
    // The words alone fill a narrow terminal.
    barsize: barSize(stderr.columns),
    formatBar: (share, { barsize = 0 }) => (barsize > 0 ? `${drawn(share, barsize)} ` : ""),
    hideCursor: true,
    clearOnComplete: true,
  });
  bar.start(total, 0, { pace: "" });
  let times: number[] = [];
  let done = 0;
  try {
    for await (const item of items) {
      times = [...times, performance.now()].slice(-WINDOW);
      done++;
      bar.increment(1, { pace: paceText(times, total - done) });
      yield item;
    }
  } finally {
    bar.stop();
  }
}

/** The longest words beside the bar: `99999 of 99999 frames, 999 a second, 59 min left`. */
const WORDS = 54;
const LONGEST_BAR = 24;
const SHORTEST_BAR = 4;

function barSize(columns = 80): number {
  const room = Math.min(LONGEST_BAR, columns - WORDS);
  return room < SHORTEST_BAR ? 0 : room;
}

function drawn(share: number, size: number): string {
  return "=".repeat(Math.round(share * size)).padEnd(size, "-");
}

/** Rate and time left; nothing until two frames are done, since one gives no rate. */
function paceText(times: readonly number[], left: number): string {
  const [first = 0] = times;
  const seconds = ((times.at(-1) ?? 0) - first) / 1000;
  const rate = (times.length - 1) / seconds;
  if (!Number.isFinite(rate) || rate <= 0) return "";
  const pace =
    rate >= 1 ? `${rate.toFixed(rate < 10 ? 1 : 0)} a second` : `${(1 / rate).toFixed(1)} s each`;
  return `, ${pace}, ${timeText(left / rate)} left`;
}

function timeText(seconds: number): string {
  if (seconds < 100) return `${Math.ceil(seconds)} s`;
  const minutes = Math.ceil(seconds / 60);
  return minutes < 100 ? `${minutes} min` : `${Math.ceil(minutes / 60)} h`;
}
