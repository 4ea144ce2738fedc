import { Command } from "commander";
import type { ReadResult } from "../model/result.ts";
import type { CsvFlags } from "../output/text/csvColumns.ts";
import { readJson, rowsNdjson } from "../output/text/json.ts";
import { readCsv } from "../output/text/readCsv.ts";
import { readMarkdown, readTable } from "../output/text/readTable.ts";
import type { RowWriter } from "../output/text/rowWriter.ts";
import { readFrames } from "../run/gradeFrames.ts";
import { bomOption, columnsOption } from "./csvOptions.ts";
import { EXIT, failureCount } from "./exitCodes.ts";
import { COMMON_CODES, type HelpTexts, withHelp } from "./help.ts";
import { forceOption, formatOption, jobsOption, outputOption } from "./options.ts";
import { lineWidth, paintFor, resultPlace } from "./output.ts";
import { picturesOf, withPictures } from "./pictures.ts";
import { STDIN_NAME } from "./stdin.ts";
import type { Streams } from "./streams.ts";
import { type RowFlags, writeRows } from "./writeRows.ts";

interface ReadFlags extends RowFlags, CsvFlags {
  readonly filesFrom?: string;
  readonly jobs?: number;
  readonly secondReader?: true;
}

const HELP: HelpTexts = {
  first: ["--files-from", "--second-reader", "--format", "--output"],
  examples: `  tonefall read shoot/                  settings of every frame
  tonefall read hull.jpg -f json        every field, and where it came from
  tonefall read shoot/ -f csv -o settings.csv
  tonefall read shoot/ --second-reader  compare the main settings with exifr's
                                        reading
  find . -name "*.dng" | tonefall read --files-from -`,
  exitCodes: `0 done; 2 wrong usage, or no file named exists;
3 some files could not be read;
${COMMON_CODES}.`,
};

/** `tonefall read`. */
export function readCommand(streams: Streams, done: (code: number) => void): Command {
  const command = withPictures(
    new Command("read").description(
      "Read the exposure record of pictures: aperture, shutter, ISO, metering pattern and more, " +
        "each with where it came from, or why it is missing. No pixel is decoded.",
    ),
  )
    .option(
      "--second-reader",
      "compare aperture, shutter, ISO, compensation and metering pattern with exifr's reading",
    )
    .addOption(formatOption())
    .addOption(outputOption())
    .addOption(columnsOption())
    .addOption(bomOption())
    .addOption(forceOption())
    .addOption(jobsOption("four"))
    .action(async (paths: string[], flags: ReadFlags) => {
      done(await read(paths, flags, streams));
    });
  return withHelp(command, HELP);
}

async function read(paths: string[], flags: ReadFlags, streams: Streams): Promise<number> {
  const { files, sources, unreadable, tellLeftAlone } = await picturesOf(
    { ...flags, paths },
    streams,
  );
  const place = resultPlace([...files, flags.filesFrom], flags);
  const { jobs, secondReader = false } = flags;
  const rows = readFrames(sources, {
    name: STDIN_NAME,
    secondReader,
    ...(jobs === undefined ? {} : { jobs }),
  });
  const failures = failureCount(unreadable);
  const output = { ...flags, place };
  const writer = writerFor(flags, streams);
  await writeRows({ rows, total: sources.length, writer, seen: failures.see }, output, streams);
  tellLeftAlone();
  return failures.code() ?? EXIT.ok;
}

function writerFor(
  { format, output, ...flags }: ReadFlags,
  streams: Streams,
): RowWriter<ReadResult> {
  switch (format) {
    case "json":
      return readJson();
    case "ndjson":
      return rowsNdjson();
    case "csv":
      return readCsv(flags);
    case "markdown":
      return readMarkdown({ secondReader: flags.secondReader });
    case "table":
      return readTable({
        width: lineWidth(streams, output),
        heading: paintFor(streams, output).strong,
        secondReader: flags.secondReader,
      });
  }
}
