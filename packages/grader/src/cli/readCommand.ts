import { Command } from "commander";
import type { ReadResult } from "../model/result.ts";
import { readJson, rowsNdjson } from "../output/text/json.ts";
import { readCsv } from "../output/text/readCsv.ts";
import { readMarkdown, readTable } from "../output/text/readTable.ts";
import type { RowWriter } from "../output/text/rowWriter.ts";
import { readFrames } from "../run/gradeFrames.ts";
import { EXIT } from "./exitCodes.ts";
import { framesOf } from "./foundFrames.ts";
import { forceOption, formatOption, jobsOption, outputOption } from "./options.ts";
import { claimPlaces, lineWidth, paintFor } from "./output.ts";
import type { Streams } from "./streams.ts";
import { type RowFlags, writeRows } from "./writeRows.ts";

interface ReadFlags extends RowFlags {
  readonly jobs?: number;
  readonly secondReader?: true;
}

const EXAMPLES = `
Examples:
  tonefall read shoot/                  settings of every frame
  tonefall read hull.jpg -f json        every field, and where it came from
  tonefall read shoot/ -f csv -o settings.csv
  tonefall read shoot/ --second-reader  compare the main settings with exifr's reading

Exit codes: 0 done; 2 wrong usage; 3 some files could not be read;
130 interrupted, 143 terminated.`;

/** `tonefall read`. */
export function readCommand(streams: Streams, done: (code: number) => void): Command {
  return new Command("read")
    .summary("read exposure records from metadata")
    .description(
      "Read the exposure record of pictures: aperture, shutter, ISO, metering pattern and more, " +
        "each with where it came from, or why it is missing. No pixel is decoded.",
    )
    .argument("<path...>", "picture files, or folders to search through")
    .option(
      "--second-reader",
      "compare aperture, shutter, ISO, compensation and metering pattern with exifr's reading",
    )
    .addOption(formatOption())
    .addOption(outputOption())
    .addOption(forceOption())
    .addOption(jobsOption("four"))
    .addHelpText("after", EXAMPLES)
    .action(async (paths: string[], flags: ReadFlags) => {
      done(await read(paths, flags, streams));
    });
}

async function read(paths: string[], flags: ReadFlags, streams: Streams): Promise<number> {
  const { frames, unreadable, tellLeftAlone } = await framesOf(paths, streams);
  const sources = frames.map(({ path }) => path);
  const [place = null] = claimPlaces([{ path: flags.output, kind: flags.format }], {
    reads: sources,
    force: flags.force,
  });
  const { jobs, secondReader = false } = flags;
  const rows = readFrames(sources, { secondReader, ...(jobs === undefined ? {} : { jobs }) });
  let failed = unreadable;
  const output = { ...flags, place };
  await writeRows(rows, sources.length, writerFor(flags, streams), output, streams, (row) => {
    failed ||= row.failure !== null;
  });
  tellLeftAlone();
  return failed ? EXIT.unreadable : EXIT.ok;
}

function writerFor(
  { format, output, secondReader }: ReadFlags,
  streams: Streams,
): RowWriter<ReadResult> {
  switch (format) {
    case "json":
      return readJson();
    case "ndjson":
      return rowsNdjson();
    case "csv":
      return readCsv(secondReader);
    case "markdown":
      return readMarkdown({ secondReader });
    case "table":
      return readTable({
        width: lineWidth(streams, output),
        heading: paintFor(streams, output).strong,
        secondReader,
      });
  }
}
