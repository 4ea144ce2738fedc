import { Command } from "commander";
import { rowCache } from "../run/memory/rowCache.ts";
import { cacheFolder } from "./cacheFolder.ts";
import { EXIT } from "./exitCodes.ts";
import { type HelpTexts, withHelp } from "./help.ts";
import type { Streams } from "./streams.ts";

const MEGABYTE = 1e6;

const HELP: HelpTexts = {
  examples: `  tonefall cache                 where the cache is, and its size
  tonefall cache --clear         empty it

The cache is in the system's folder for caches (XDG_CACHE_HOME is respected), or
in the folder that TONEFALL_CACHE names. TONEFALL_CACHE= turns the cache off.`,
};

/** `tonefall cache`. */
export function cacheCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("cache")
    .description("Show where graded rows are cached, and how many.")
    .option("--clear", "remove all of them")
    .action(async ({ clear }: { readonly clear?: true }) => {
      const folder = cacheFolder(streams);
      if (folder === null) {
        streams.stdout.write("The cache is turned off.\n");
      } else {
        const cache = rowCache(folder);
        if (clear) await cache.clear();
        const { rows, bytes } = await cache.size();
        streams.stdout.write(`${folder}\n${rows} rows, ${(bytes / MEGABYTE).toFixed(1)} MB\n`);
      }
      done(EXIT.ok);
    });
  return withHelp(command, HELP);
}
