import type { Point } from "@tonefall/tone-core";
import { Command, InvalidArgumentError } from "commander";
import { gradeJson, rowsNdjson } from "../output/text/json.ts";
import { meterCsv } from "../output/text/meterCsv.ts";
import { meterMarkdown } from "../output/text/meterMarkdown.ts";
import { meterTable } from "../output/text/meterTable.ts";
import type { RowWriter } from "../output/text/rowWriter.ts";
import type { FoundFrame } from "../run/findFrames.ts";
import { type MeterResult, meterFrames } from "../run/meterFrame.ts";
import { type BriefFlags, briefsOf, withBriefOptions } from "./briefFlags.ts";
import { EXIT } from "./exitCodes.ts";
import { framesOf } from "./foundFrames.ts";
import { kitOption, kitsAtHand } from "./kitOption.ts";
import {
  forceOption,
  formatOption,
  jobsOption,
  type LimitFlags,
  limitsOf,
  midGreyOption,
  outputOption,
  type PrecisionFlags,
  precisionOf,
  share,
  withLimitOptions,
  withPrecision,
} from "./options.ts";
import { claimPlaces, lineWidth, paintFor } from "./output.ts";
import type { Streams } from "./streams.ts";
import { type RowFlags, writeRows } from "./writeRows.ts";

interface MeterFlags extends BriefFlags, LimitFlags, PrecisionFlags, RowFlags {
  readonly spot?: Point;
  readonly spotSize?: number;
  readonly midGrey?: number;
  readonly kit?: string;
  readonly jobs?: number;
}

const EXAMPLES = `
Examples:
  tonefall meter hull.jpg                 what each pattern reads
  tonefall meter hull.jpg --region spot   and where the hull would have fallen
  tonefall meter door.jpg --spot 0.3,0.6 --spot-size 2%
                                          the spot laid elsewhere, and smaller
  tonefall meter class/ --brief week1.yaml -f csv -o readings.csv

Stops are relative to middle grey. A reading of +1 means that the camera, had it
followed this pattern without compensation, would have given one stop less; "if
followed" is where the region would have fallen then. The weighting of
multi-segment metering is unpublished: its reading is an estimate. Differences
in a rendered picture are in its own stops, which its tone curve stretches; with
a measured kit (tonefall kit --help) they are stops of light.

Exit codes: 0 done; 2 wrong usage; 3 some frames could not be read;
130 interrupted, 143 terminated.`;

/** `tonefall meter`. */
export function meterCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("meter")
    .summary("show what each metering pattern reads")
    .description(
      "Meter frames: what each metering pattern reads, and where the region would have " +
        "fallen had the camera followed it.",
    )
    .argument("<path...>", "picture files, or folders to search through")
    .option("--spot <x,y>", "centre of the spot, fractions of the upright frame", spotPlace)
    .option("--spot-size <share>", "share of the frame that the spot covers: 0.03 or 3%", share);
  return withPrecision(withLimitOptions(withBriefOptions(command)))
    .addOption(midGreyOption())
    .addOption(kitOption())
    .addOption(formatOption())
    .addOption(outputOption())
    .addOption(forceOption())
    .addOption(jobsOption())
    .addHelpText("after", EXAMPLES)
    .action(async (paths: string[], flags: MeterFlags) => {
      done(await meter(paths, flags, streams));
    });
}

async function meter(paths: string[], flags: MeterFlags, streams: Streams): Promise<number> {
  const { briefOf, tellUnmatched } = await briefsOf(flags);
  const { frames, unreadable, tellLeftAlone } = await framesOf(paths, streams);
  const { spot, spotSize, midGrey, jobs } = flags;
  const kits = await kitsAtHand(flags.kit, frames);
  const files = frames.map(({ path }) => path);
  const [place = null] = claimPlaces([{ path: flags.output, kind: flags.format }], {
    reads: [...files, flags.brief, flags.kit],
    force: flags.force,
  });
  const metered = meterFrames(files, (_source, index) => briefOf(frames[index] as FoundFrame), {
    precision: precisionOf(flags),
    ...(spot === undefined ? {} : { spot }),
    ...(spotSize === undefined ? {} : { spotShare: spotSize }),
    ...limitsOf(flags),
    ...(midGrey === undefined ? {} : { middleGrey: midGrey }),
    ...(jobs === undefined ? {} : { jobs }),
    kits,
  });
  let failed = unreadable;
  const output = { ...flags, place };
  await writeRows(metered, frames.length, writerFor(flags, streams), output, streams, (row) => {
    failed ||= row.failure !== null;
  });
  tellUnmatched(streams);
  tellLeftAlone();
  return failed ? EXIT.unreadable : EXIT.ok;
}

function writerFor({ format, output }: MeterFlags, streams: Streams): RowWriter<MeterResult> {
  switch (format) {
    case "json":
      return gradeJson();
    case "ndjson":
      return rowsNdjson();
    case "csv":
      return meterCsv();
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
