import type { Stray } from "../classes/handIn.ts";
import { countText } from "../model/words.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

/** Paths that are named of those for which the same holds. */
const MOST_NAMED = 3;

/** Says on stderr what belongs to nobody: each thing once, with some of the files for which it holds. */
export function tellStrays(strays: readonly Stray[], streams: Streams): void {
  const byMessage = new Map<string, Stray[]>();
  for (const stray of strays) {
    byMessage.set(stray.message, [...(byMessage.get(stray.message) ?? []), stray]);
  }
  for (const [message, [first, ...others]] of byMessage) {
    if (!first) continue;
    tell(streams, `${first.path}: ${message}`, first.code);
    if (others.length === 0) continue;
    const named = others.slice(0, MOST_NAMED).map(({ path }) => path);
    const more = others.length > named.length ? ", and others; class check names all" : "";
    tell(
      streams,
      `the same of ${countText(others.length, "other file")}: ${named.join(", ")}${more}`,
    );
  }
}
