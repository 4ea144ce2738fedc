import type { Point } from "@tonefall/tone-core";
import { Command, InvalidArgumentError } from "commander";
import type { Brief } from "../brief/brief.ts";
import type { CsvFlags } from "../output/text/csvColumns.ts";
import { gradeJson, rowsNdjson } from "../output/text/json.ts";
import { meterCsv } from "../output/text/meterCsv.ts";
import { meterMarkdown } from "../output/text/meterMarkdown.ts";
import { meterTable } from "../output/text/meterTable.ts";
import type { RowWriter } from "../output/text/rowWriter.ts";
import { type MeterResult, meterFrames } from "../run/meterFrame.ts";
import { BRIEF_DETAILS, type BriefFlags, briefsOf, withBriefOptions } from "./briefFlags.ts";
import { bomOption, columnsOption, METER_CSV_DETAILS } from "./csvOptions.ts";
import { EXIT, failureCount } from "./exitCodes.ts";
import { COMMON_CODES, GROUPS, type HelpTexts, withHelp } from "./help.ts";
import { kitOption, kitsAtHand } from "./kitOption.ts";
import {
  forceOption,
  formatOption,
  jobsOption,
  type LimitFlags,
  limitsFromFlags,
  midGreyOption,
  outputOption,
  type PrecisionFlags,
  precisionOf,
  share,
  withLimitOptions,
  withPrecision,
} from "./options.ts";
import { claimPlaces, lineWidth, paintFor } from "./output.ts";
import { picturesOf, withPictures } from "./pictures.ts";
import { requireOneReader, STDIN_NAME } from "./stdin.ts";
import type { Streams } from "./streams.ts";
import { type RowFlags, writeRows } from "./writeRows.ts";

interface MeterFlags extends BriefFlags, LimitFlags, PrecisionFlags, RowFlags, CsvFlags {
  readonly filesFrom?: string;
  readonly spot?: Point;
  readonly spotSize?: number;
  readonly midGrey?: number;
  readonly kit?: string;
  readonly jobs?: number;
}

const HELP: HelpTexts = {
  first: ["--region", "--spot", "--brief", "--kit", "--format", "--output"],
  examples: `  tonefall meter hull.jpg                 what each pattern reads
  tonefall meter hull.jpg --region spot   and where the hull would have fallen
  tonefall meter door.jpg --spot 0.3,0.6 --spot-size 2%
                                          another, smaller spot
  tonefall meter class/ --brief week1.yaml -f csv -o readings.csv

Stops are relative to middle grey. A reading of +1 means that the camera would
have given one stop less, had it followed this pattern without compensation;
"if followed" is where the region would have fallen then.`,
  details: `The weighting of multi-segment metering is unpublished: its reading is an
estimate. A rendered picture's tone curve stretches differences in it; with a
measured kit (tonefall kit --help) they are stops of light.

${BRIEF_DETAILS}

${METER_CSV_DETAILS}`,
  exitCodes: `0 done; 2 wrong usage, or no picture named exists;
3 some frames could not be read;
${COMMON_CODES}.`,
};

/** `tonefall meter`. */
export function meterCommand(streams: Streams, done: (code: number) => void): Command {
  const command = withPictures(
    new Command("meter").description(
      "Meter frames: what each metering pattern reads, and where the region would have " +
        "fallen had the camera followed it.",
    ),
  )
    .optionsGroup(GROUPS.measuring)
    .option("--spot <x,y>", "centre of the spot, in fractions of the upright frame", spotPlace)
    .option("--spot-size <share>", "share of the frame that the spot covers: 0.03 or 3%", share);
  withPrecision(withLimitOptions(withBriefOptions(command)))
    .addOption(midGreyOption())
    .addOption(kitOption())
    .addOption(formatOption())
    .addOption(outputOption())
    .addOption(columnsOption())
    .addOption(bomOption())
    .addOption(forceOption())
    .addOption(jobsOption())
    .action(async (paths: string[], flags: MeterFlags) => {
      done(await meter(paths, flags, streams));
    });
  return withHelp(command, HELP);
}

async function meter(paths: string[], flags: MeterFlags, streams: Streams): Promise<number> {
  requireOneReader({ ...flags, paths });
  const { briefsFor, tellUnmatched } = await briefsOf(flags, streams);
  const pictures = await picturesOf({ ...flags, paths }, streams);
  const { frames, sources, tellLeftAlone } = pictures;
  const briefs = briefsFor(frames);
  const { spot, spotSize, midGrey, jobs } = flags;
  const kits = await kitsAtHand(flags.kit, frames);
  const [place = null] = claimPlaces([{ path: flags.output, kind: flags.format }], {
    reads: [...pictures.files, flags.brief, flags.kit, flags.filesFrom],
    force: flags.force,
  });
  const metered = meterFrames(sources, (_source, index) => briefs[index] as Brief, {
    name: STDIN_NAME,
    precision: precisionOf(flags),
    ...(spot === undefined ? {} : { spot }),
    ...(spotSize === undefined ? {} : { spotShare: spotSize }),
    ...limitsFromFlags(flags),
    ...(midGrey === undefined ? {} : { middleGrey: midGrey }),
    ...(jobs === undefined ? {} : { jobs }),
    kits,
  });
  const failures = failureCount(pictures.unreadable);
  const output = { ...flags, place };
  const writer = writerFor(flags, streams);
  const run = { rows: metered, total: frames.length, writer, seen: failures.see };
  await writeRows(run, output, streams);
  tellUnmatched(streams);
  tellLeftAlone();
  return failures.code() ?? EXIT.ok;
}

function writerFor(
  { format, output, ...flags }: MeterFlags,
  streams: Streams,
): RowWriter<MeterResult> {
  switch (format) {
    case "json":
      return gradeJson();
    case "ndjson":
      return rowsNdjson();
    case "csv":
      return meterCsv(flags);
    case "markdown":
      return meterMarkdown();
    case "table":
      return meterTable({
        width: lineWidth(streams, output),
        heading: paintFor(streams, output).strong,
      });
  }
}

function spotPlace(text: string): Point {
  const [x = Number.NaN, y = Number.NaN, ...more] = text
    .split(",")
    .map((part) => (part.trim() === "" ? Number.NaN : Number(part)));
  if (more.length === 0 && [x, y].every((place) => place >= 0 && place <= 1)) return { x, y };
  throw new InvalidArgumentError("Expected two fractions from 0 to 1, such as 0.3,0.6.");
}
