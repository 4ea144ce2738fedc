import { MARKED_VERSION, type MarkedClass } from "../../model/markedClass.ts";
import { jsonText } from "./json.ts";

/** A marked class as lines of ndjson: one for each student and task, then one for each flag. */
export function classNdjson({ class: name, exercises }: MarkedClass): string {
  const lines = exercises.flatMap(({ id, due, rows, flags }) => [
    ...rows.map((row) => ({ kind: "row", class: name, exercise: id, due, ...row })),
    ...flags.map((flag) => ({ kind: "flag", class: name, exercise: id, ...flag })),
  ]);
  return lines.map((line) => jsonText({ schemaVersion: MARKED_VERSION, ...line }, 0)).join("");
}
