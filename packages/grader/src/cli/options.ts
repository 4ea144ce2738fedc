import { InvalidArgumentError, Option } from "commander";

/** Forms a result can be written in. */
const FORMATS = ["table", "json", "ndjson", "csv", "markdown"] as const;

/** One of {@link FORMATS}. */
export type Format = (typeof FORMATS)[number];

/** `--format`, as every command has it. */
export function formatOption(formats: readonly Format[] = FORMATS): Option {
  return new Option("-f, --format <format>", "form of the result")
    .choices(formats)
    .default("table");
}

/** `--output`, as every command has it. */
export function outputOption(): Option {
  return new Option("-o, --output <file>", "write the result to a file, whole or not at all");
}

/** `--jobs`, as every command that opens frames has it. */
export function jobsOption(): Option {
  return new Option(
    "-j, --jobs <count>",
    "frames in work at once (default: one per processor)",
  ).argParser(wholeNumber);
}

function wholeNumber(text: string): number {
  const value = Number(text);
  if (Number.isInteger(value) && value >= 1 && value <= 256) return value;
  throw new InvalidArgumentError("Expected a whole number from 1 to 256.");
}
