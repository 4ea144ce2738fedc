import { type Command, InvalidArgumentError, Option } from "commander";
import type { Shard } from "../model/checkResult.ts";
import { GraderError } from "../model/errors.ts";
import type { Precision } from "../model/precision.ts";
import { DEFAULT_LIMITS, type DecodeLimits } from "../picture/decodeLimits.ts";
import { engineShard } from "../run/engineShard.ts";
import { GROUPS } from "./help.ts";
import type { Streams } from "./streams.ts";

/** Formats in which a result can be written. */
export const FORMATS = ["table", "json", "ndjson", "csv", "markdown"] as const;

/** One of {@link FORMATS}. */
export type Format = (typeof FORMATS)[number];

/** Formats in which a check's result can be written. */
export const CHECK_FORMATS = [
  "table",
  "json",
  "markdown",
  "junit",
  "tap",
  "github",
  "sarif",
] as const;

/** `--format`, as every command has it. */
export function formatOption(formats: readonly Format[] = FORMATS): Option {
  return new Option("-f, --format <format>", "format of the result")
    .choices(formats)
    .default("table")
    .helpGroup(GROUPS.output);
}

/** `--output`, as every command has it. */
export function outputOption(): Option {
  return new Option("-o, --output <file>", "write the result to a file").helpGroup(GROUPS.output);
}

/** `--force`, as every command that writes a file has it. */
export function forceOption(): Option {
  return new Option(
    "--force",
    "let --output replace other text; pictures, briefs and sets always stay",
  ).helpGroup(GROUPS.output);
}

/** `--jobs`, as every command that opens frames has it. */
export function jobsOption(perProcessor: "one" | "four" = "one"): Option {
  return new Option(
    "-j, --jobs <count>",
    `frames to work on at once (default: ${perProcessor} per processor)`,
  )
    .argParser(wholeNumber)
    .helpGroup(GROUPS.longRuns);
}

/** Values of the options that {@link withLimitOptions} adds. */
export interface LimitFlags {
  readonly timeLimit?: number;
  readonly maxMegapixels?: number;
}

/** Adds the options that limit what decoding one frame may cost. */
export function withLimitOptions(command: Command): Command {
  const { timeLimitSeconds, maxMegapixels } = DEFAULT_LIMITS;
  return command
    .addOption(
      new Option(
        "--time-limit <seconds>",
        `longest time for decoding one frame (default: ${timeLimitSeconds})`,
      )
        .argParser(positiveNumber)
        .helpGroup(GROUPS.limits),
    )
    .addOption(
      new Option(
        "--max-megapixels <count>",
        `largest picture to decode, in millions of pixels (default: ${maxMegapixels})`,
      )
        .argParser(positiveNumber)
        .helpGroup(GROUPS.limits),
    );
}

/** The limits that the flags set. */
export function limitsFromFlags({ timeLimit, maxMegapixels }: LimitFlags): DecodeLimits {
  return {
    ...(timeLimit === undefined ? {} : { timeLimitSeconds: timeLimit }),
    ...(maxMegapixels === undefined ? {} : { maxMegapixels }),
  };
}

function positiveNumber(text: string): number {
  const value = Number(text);
  if (value > 0 && value <= 86_400) return value;
  throw new InvalidArgumentError("Expected a number above 0, at most 86400.");
}

function wholeNumber(text: string): number {
  const value = Number(text);
  if (Number.isInteger(value) && value >= 1 && value <= 256) return value;
  throw new InvalidArgumentError("Expected a whole number from 1 to 256.");
}

/** `--exact` and `--quick`, as the commands that measure pixels have them; standard precision without either. */
export function withPrecision(command: Command): Command {
  return command
    .addOption(
      new Option("--exact", "count every pixel of large regions, not a sample of them").helpGroup(
        GROUPS.measuring,
      ),
    )
    .addOption(
      new Option("--quick", "first look: decode a ninth of the pixels of large JPEGs")
        .conflicts(["exact", "report", "histograms"])
        .helpGroup(GROUPS.measuring),
    );
}

/** Flags of {@link withPrecision}. */
export interface PrecisionFlags {
  readonly exact?: true;
  readonly quick?: true;
}

/** The precision that flags ask for. */
export function precisionOf({ exact, quick }: PrecisionFlags): Precision {
  if (exact) return "exact";
  return quick ? "quick" : "standard";
}

/**
 * `--shard`, as every command whose work can be split has it.
 *
 * @param env - where `auto` looks for the part
 */
export function shardOption(
  env: Streams["env"],
  joining = "tonefall merge joins the parts",
): Option {
  return new Option(
    "--shard <i/n>",
    `run part i of n, such as 2/8, or auto: the part that Slurm, Kubernetes or GNU parallel names; ${joining}`,
  )
    .argParser((text) => (text === "auto" ? shardByEngine(env) : shard(text)))
    .helpGroup(GROUPS.longRuns);
}

function shardByEngine(env: Streams["env"]): Shard {
  try {
    return engineShard(env);
  } catch (error) {
    if (error instanceof GraderError) throw new InvalidArgumentError(`${error.message}.`);
    throw error;
  }
}

function shard(text: string): Shard {
  const [, index, of] = /^(\d{1,4})\/(\d{1,4})$/.exec(text) ?? [];
  const part = { index: Number(index), of: Number(of) };
  if (part.index >= 1 && part.index <= part.of) return part;
  throw new InvalidArgumentError("Expected a part and the number of parts, such as 2/3, or auto.");
}

/** `--mid-grey`: where middle grey sits in raw files. */
export function midGreyOption(): Option {
  return new Option(
    "--mid-grey <share>",
    "middle grey of raw files as a share of saturation: 0.128, 12.8% or 10/78 (default: 10/78)",
  )
    .argParser(share)
    .helpGroup(GROUPS.measuring);
}

/** Reads a share below the whole, such as `0.128`, `12.8%` or `10/78`. */
export function share(text: string): number {
  const value = readShare(text);
  if (value > 0 && value < 1) return value;
  throw new InvalidArgumentError("Expected a share above 0 and below 1, such as 0.128 or 12.8%.");
}

/** Reads a share that may be the whole, such as `0.18`, `90%` or `1`. */
export function shareOrWhole(text: string): number {
  const value = readShare(text);
  if (value > 0 && value <= 1) return value;
  throw new InvalidArgumentError("Expected a share above 0 and up to 1, such as 0.18 or 90%.");
}

/** NaN where the text is not a share. */
function readShare(text: string): number {
  const [, top, bottom = "1", percent] =
    /^([\d.]+)(?:\s*\/\s*([\d.]+))?\s*(%?)$/.exec(text.trim()) ?? [];
  return Number(top) / Number(bottom) / (percent ? 100 : 1);
}
