import { Command } from "commander";
import { rowCache } from "../run/memory/rowCache.ts";
import { cacheFolder } from "./cacheFolder.ts";
import { EXIT } from "./exitCodes.ts";
import type { Streams } from "./streams.ts";

const MEGABYTE = 1e6;

const HELP = `
The folder is that of the system for caches (XDG_CACHE_HOME is honoured), or
what TONEFALL_CACHE names; set to nothing, it turns the cache off.`;

/** `tonefall cache`. */
export function cacheCommand(streams: Streams, done: (code: number) => void): Command {
  return new Command("cache")
    .summary("say where graded rows are cached, and clear them")
    .description("Say where graded rows are cached, and how much there is.")
    .option("--clear", "remove all of them")
    .addHelpText("after", HELP)
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
}
