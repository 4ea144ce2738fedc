import { type CacheOptions, type RowCache, rowCache } from "../run/memory/rowCache.ts";
import { cacheFolder } from "./cacheFolder.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

/**
 * The user's cache, which reports once on stderr that it cannot be written; null where it is turned off.
 *
 * @param options - `keepHashes` as {@link rowCache} has it
 */
export function userCache(
  streams: Streams,
  options: Pick<CacheOptions, "keepHashes"> = {},
): RowCache | null {
  const folder = cacheFolder(streams);
  if (folder === null) return null;
  return rowCache(folder, {
    ...options,
    onTrouble: ({ message }) =>
      streams.stderr.write(
        `tonefall: the cache cannot be written (${message}); results are not affected\n`,
      ),
    onDamage: (rows) =>
      tell(streams, `${rows} damaged ${rows === 1 ? "row" : "rows"} in the cache; graded again`),
  });
}
