import { Command } from "commander";
import { SCHEMA_VERSION } from "../model/result.ts";
import { tonesCsv, tonesData, tonesMarkdown, tonesTable } from "../output/text/tonesReport.ts";
import { EXIT } from "./exitCodes.ts";
import { type HelpTexts, withHelp } from "./help.ts";
import { type Format, forceOption, formatOption, outputOption } from "./options.ts";
import { claimPlaces, lineWidth, paintFor, writeResult } from "./output.ts";
import type { Streams } from "./streams.ts";

interface TonesFlags {
  readonly format: Format;
  readonly output?: string;
  readonly force?: true;
}

const HELP: HelpTexts = {
  examples: `  tonefall tones                 the chart
  tonefall tones -f json         with aliases, reflectances and sources

Any name in the chart can be a placement: tonefall grade hull.jpg --place tar`,
};

/** `tonefall tones`. */
export function tonesCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("tones")
    .description("Show the tone chart: subjects by name, and where they are usually placed.")
    .addOption(formatOption())
    .addOption(outputOption())
    .addOption(forceOption())
    .action(async (flags: TonesFlags) => {
      const wanted = { path: flags.output, kind: flags.format };
      const [place = null] = claimPlaces([wanted], { reads: [], force: flags.force });
      await writeResult(format(flags, streams), place, streams);
      done(EXIT.ok);
    });
  return withHelp(command, HELP);
}

function format(flags: TonesFlags, streams: Streams): string {
  switch (flags.format) {
    case "json":
      return `${JSON.stringify({ schemaVersion: SCHEMA_VERSION, tones: tonesData() }, null, 2)}\n`;
    case "ndjson":
      return tonesData()
        .map((tone) => `${JSON.stringify({ schemaVersion: SCHEMA_VERSION, ...tone })}\n`)
        .join("");
    case "csv":
      return tonesCsv();
    case "markdown":
      return tonesMarkdown();
    case "table":
      return tonesTable({
        width: lineWidth(streams, flags.output),
        heading: paintFor(streams, flags.output).strong,
      });
  }
}
