import { join } from "node:path";
import envPaths from "env-paths";
import type { Streams } from "./streams.ts";

/** Names the folder of the cache; set to nothing it turns the cache off. */
const VARIABLE = "TONEFALL_CACHE";

/** Where graded rows are cached; null where the environment turns the cache off. */
export function cacheFolder({ env }: Pick<Streams, "env">): string | null {
  const named = env[VARIABLE];
  if (named === "") return null;
  return join(named ?? envPaths("tonefall", { suffix: "" }).cache, "rows");
}
