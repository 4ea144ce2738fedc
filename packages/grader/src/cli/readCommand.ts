import { Command } from "commander";
import { jsonText, ndjsonLine } from "../report/json.ts";
import { readCsv } from "../report/readCsv.ts";
import { readMarkdown, readTable } from "../report/readTable.ts";
import { type ReadResult, SCHEMA_VERSION } from "../result.ts";
import { readFrames } from "../run/gradeFrames.ts";
import { EXIT } from "./exitCodes.ts";
import { framesOf } from "./foundFrames.ts";
import { type Format, formatOption, jobsOption, outputOption } from "./options.ts";
import { lineWidth, paintFor, writeResult } from "./output.ts";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";

interface ReadFlags {
  readonly format: Format;
  readonly output?: string;
  readonly jobs?: number;
}

const EXAMPLES = `
Examples:
  tonefall read shoot/                  settings of every frame
  tonefall read hull.jpg -f json        every field, and where it came from
  tonefall read shoot/ -f csv -o settings.csv

Exit codes: 0 done; 2 wrong usage; 3 some files could not be read;
130 interrupted.`;

/** `tonefall read`. */
export function readCommand(streams: Streams, done: (code: number) => void): Command {
  return new Command("read")
    .summary("read exposure records from metadata")
    .description(
      "Read the exposure record of pictures: aperture, shutter, ISO, metering pattern and more,\n" +
        "each with where it came from, or why it is missing. No pixel is decoded.",
    )
    .argument("<path...>", "picture files, or folders to search through")
    .addOption(formatOption())
    .addOption(outputOption())
    .addOption(jobsOption())
    .addHelpText("after", EXAMPLES)
    .action(async (paths: string[], flags: ReadFlags) => {
      done(await read(paths, flags, streams));
    });
}

async function read(paths: string[], flags: ReadFlags, streams: Streams): Promise<number> {
  const { frames, unreadable } = await framesOf(paths, streams);
  const sources = frames.map(({ path }) => path);
  const rows: ReadResult[] = [];
  const reading = readFrames(sources, flags.jobs === undefined ? {} : { jobs: flags.jobs });
  for await (const row of withProgress(reading, sources.length, streams)) rows.push(row);
  await writeResult(format(rows, flags, streams), flags.output, streams);
  const failed = rows.some(({ failure }) => failure !== null);
  return failed || unreadable ? EXIT.unreadable : EXIT.ok;
}

function format(rows: readonly ReadResult[], flags: ReadFlags, streams: Streams): string {
  switch (flags.format) {
    case "json": {
      const summary = {
        frames: rows.length,
        failed: rows.filter(({ failure }) => failure !== null).length,
      };
      return jsonText({ schemaVersion: SCHEMA_VERSION, frames: rows, summary });
    }
    case "ndjson":
      return rows.map(ndjsonLine).join("");
    case "csv":
      return readCsv(rows);
    case "markdown":
      return readMarkdown(rows);
    case "table":
      return readTable(rows, {
        width: lineWidth(streams, flags.output),
        heading: paintFor(streams, flags.output).strong,
      });
  }
}
