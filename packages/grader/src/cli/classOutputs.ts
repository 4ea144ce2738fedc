import { type Command, Option } from "commander";
import type { ReadyClass } from "../classes/classFile.ts";
import type { Marking } from "../classes/markClass.ts";
import { readTemplates } from "../classes/sheets/sheetTemplates.ts";
import { studentSheets } from "../classes/sheets/studentSheet.ts";
import { countText } from "../model/words.ts";
import { GRADEBOOKS, type Gradebook, gradebook } from "../output/text/gradebook.ts";
import type { WritePlace } from "../run/write/writePlace.ts";
import { claimSheets, writeSheets } from "./classSheets.ts";
import { GROUPS } from "./help.ts";
import { claimPlaces, type RunFiles, writeResult } from "./output.ts";
import { pageCode } from "./pageFlags.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

/** Values of the options by which a marked class is handed on: a page, sheets, a gradebook. */
export interface ClassOutputFlags {
  readonly report?: string;
  readonly pictures: "none" | "regions";
  readonly sheets?: string;
  readonly templates?: string;
  readonly gradebook?: string;
  readonly gradebookForm: Gradebook;
}

/** Adds the options of {@link ClassOutputFlags}. */
export function withClassOutputs(command: Command): Command {
  const option = (flags: string, description: string): Option =>
    new Option(flags, description).helpGroup(GROUPS.output);
  return command
    .addOption(option("--report <page.html>", "write the page of the class"))
    .addOption(
      option("--pictures <which>", "pictures in the report and in sheets")
        .choices(["none", "regions"])
        .default("regions"),
    )
    .addOption(
      option(
        "--sheets <folder>",
        "write feedback to hand back: a page and a text for each student",
      ),
    )
    .addOption(option("--templates <file>", "words of the sheets, to translate or reword"))
    .addOption(option("--gradebook <file.csv>", "write levels and errors for a gradebook"))
    .addOption(
      option(
        "--gradebook-form <form>",
        "one row for each student and exercise, or one for each student",
      )
        .choices(GRADEBOOKS)
        .default("long"),
    );
}

/** What a run hands on beside its result. */
export interface ClassOutputs {
  /** Of the result itself; null for stdout. */
  readonly place: WritePlace | null;
  /** Writes all that was asked for. */
  write(marking: Marking, streams: Streams): Promise<void>;
}

/**
 * Claims every place that a run writes to, before it opens a picture.
 *
 * @param result - where the result itself goes, first, and other places of the run
 * @param names - names in place of codes, for the page alone
 * @throws {@link GraderError} `would-overwrite`; `bad-option` for a wrong template file, or for sheets among hand-ins
 */
export async function classOutputs(
  ready: ReadyClass,
  flags: ClassOutputFlags,
  result: Parameters<typeof claimPlaces>[0],
  files: RunFiles,
  names: ReadonlyMap<string, string> | null,
): Promise<ClassOutputs> {
  const { report, sheets, templates, gradebook: book, gradebookForm, pictures } = flags;
  const reads = [...files.reads, templates];
  const places = claimPlaces(
    [
      ...result,
      { path: report, kind: "html", option: "--report" },
      { path: book, kind: "csv", option: "--gradebook" },
    ],
    { ...files, reads },
  );
  const [reportPlace = null, bookPlace = null] = places.slice(result.length);
  const words = await readTemplates(templates);
  const sheetPlaces =
    sheets === undefined ? null : await claimSheets(ready, sheets, { ...files, reads });
  return {
    place: places[0] ?? null,
    write: async ({ marked, found }, streams) => {
      for (const remark of words.remarks) tell(streams, remark);
      const paths = new Map(found.handIns.map(({ file, path }) => [file, path]));
      const pathOf = (file: string): string | null => paths.get(file) ?? null;
      if (bookPlace) await writeResult(gradebook(marked, gradebookForm), bookPlace, streams);
      if (sheetPlaces) {
        const made = studentSheets(marked, words.templates);
        const pictureOf = pictures === "none" ? () => null : pathOf;
        const count = await writeSheets(made, words.templates, sheetPlaces, pictureOf, streams);
        tell(streams, `wrote the sheets of ${countText(count, "student")} in ${sheets}`);
      }
      if (reportPlace) {
        const { classReport } = await pageCode();
        await classReport(reportPlace, marked, {
          ...{ pathOf, pictures, templates: words.templates },
          ...(names ? { nameOf: (student: string) => names.get(student) ?? student } : {}),
        });
      }
    },
  };
}
