import { Option } from "commander";
import type { CheckResult } from "../model/checkResult.ts";
import { checkGithub } from "../output/text/checkGithub.ts";
import { checkJunit } from "../output/text/checkJunit.ts";
import { checkMarkdown } from "../output/text/checkMarkdown.ts";
import { checkSarif } from "../output/text/checkSarif.ts";
import { checkTable } from "../output/text/checkTable.ts";
import { checkTap } from "../output/text/checkTap.ts";
import { jsonText } from "../output/text/json.ts";
import { version } from "../run/version.ts";
import type { WritePlace } from "../run/write/writePlace.ts";
import { EXIT } from "./exitCodes.ts";
import { CHECK_FORMATS } from "./options.ts";
import { lineWidth, paintFor, writeResult } from "./output.ts";
import type { Streams } from "./streams.ts";

/** How a check's result is wanted. */
export interface CheckOutput {
  readonly format: (typeof CHECK_FORMATS)[number];
  readonly output?: string;
  readonly force?: true;
}

/** `--format`, as the commands that give check results have it. */
export function checkFormatOption(): Option {
  return new Option("-f, --format <format>", "format of the result")
    .choices(CHECK_FORMATS)
    .default("table");
}

/** Writes a check's result as it is wanted, to a claimed place or stdout, and gives its exit code. */
export async function writeCheck(
  result: CheckResult,
  { format, output }: CheckOutput,
  place: WritePlace | null,
  streams: Streams,
): Promise<number> {
  await writeResult(text(result, format, output, streams), place, streams);
  const { notRun, failing } = result.summary;
  // A claim that could not be measured was not judged: that comes first.
  if (notRun > 0) return EXIT.unreadable;
  return failing > 0 ? EXIT.missed : EXIT.ok;
}

function text(
  result: CheckResult,
  format: CheckOutput["format"],
  output: string | undefined,
  streams: Streams,
): string {
  switch (format) {
    case "table":
      return checkTable(result, {
        width: lineWidth(streams, output),
        paint: paintFor(streams, output),
      });
    case "json":
      return jsonText(result);
    case "markdown":
      return checkMarkdown(result);
    case "junit":
      return checkJunit(result, new Date());
    case "tap":
      return checkTap(result);
    case "github":
      return checkGithub(result);
    case "sarif":
      return checkSarif(result, version());
  }
}
