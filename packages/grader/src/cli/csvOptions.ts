import { Option } from "commander";
import { GROUPS } from "./help.ts";

/** `--columns`, as the commands that write rows as CSV have it. */
export function columnsOption(): Option {
  return new Option("--columns <names>", "columns of csv: all, or names such as frame,error")
    .argParser((text) => text.split(",").map((name) => name.trim()))
    .helpGroup(GROUPS.output);
}

/** `--bom`, as the commands that write rows as CSV have it. */
export function bomOption(): Option {
  return new Option(
    "--bom",
    "begin csv with a byte-order mark, for spreadsheets that garble accents",
  ).helpGroup(GROUPS.output);
}

/** What `--help-all` says about the columns of graded rows. */
export const CSV_DETAILS = `Columns of csv: folder, frame, verdict, error, bound, fall, placement, cause,
words. Error, fall and placement are stops with two decimals. The verdict is
over (lighter), under (darker), within or undecided (cannot tell). With
--columns all there are 28 columns in full precision; JSON holds everything.`;

/** What `--help-all` says about the columns of metered rows. */
export const METER_CSV_DETAILS = `Columns of csv: folder, frame, pattern, recorded, reading, bound, fall,
fall_if_followed, words; a line for each pattern, stops with two decimals. With
--columns all there are 16 columns in full precision; JSON holds everything.`;
