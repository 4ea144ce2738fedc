import { join } from "node:path";
import type { Streams } from "./streams.ts";

// The package asks for the user's home as it loads, and some users of servers have none: then there is no cache.
const envPaths = await import("env-paths").then(
  (module) => module.default,
  () => null,
);

/** Names the folder of the cache; set to nothing it turns the cache off. */
const VARIABLE = "TONEFALL_CACHE";

/** Where graded rows are cached; null where the environment turns the cache off, or names none for a user without a home. */
export function cacheFolder({ env }: Pick<Streams, "env">): string | null {
  const named = env[VARIABLE];
  if (named === "") return null;
  const folder = named ?? envPaths?.("tonefall", { suffix: "" }).cache;
  return folder === undefined ? null : join(folder, "rows");
}
