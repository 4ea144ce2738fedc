import { join } from "node:path";
import envPaths from "env-paths";
import { type CacheOptions, type RowCache, rowCache } from "../run/memory/rowCache.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

/** Names the folder of the cache; set to nothing it turns the cache off. */
const VARIABLE = "TONEFALL_CACHE";

/** Where graded rows are cached; null where the environment turns the cache off. */
export function cacheFolder({ env }: Pick<Streams, "env">): string | null {
  const named = env[VARIABLE];
  if (named === "") return null;
  return join(named ?? envPaths("tonefall", { suffix: "" }).cache, "rows");
}

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
