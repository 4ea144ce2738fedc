import { filled, type SheetTemplates } from "../../classes/sheets/sheetTemplates.ts";
import type { SheetExercise, SheetFrame, StudentSheet } from "../../classes/sheets/studentSheet.ts";
import { safeText } from "../../model/words.ts";
import { wrapped } from "./wrapped.ts";

const WIDTH = 76;

/** A student's sheet as plain text, to paste into a message. */
export function sheetText({ exercises }: StudentSheet, templates: SheetTemplates): string {
  return `${exercises.map((exercise) => exerciseText(exercise, templates)).join("\n\n\n")}\n`;
}

function exerciseText(
  { title, summary, frames, missing, cautions }: SheetExercise,
  templates: SheetTemplates,
): string {
  const parts = [
    `${line(title)}\n${line(summary)}`,
    ...frames.map((frame) => frameText(frame, templates)),
    missing.map(line).join("\n"),
    cautions.length > 0
      ? [filled(templates, "caution-heading"), ...cautions].map(line).join("\n")
      : "",
  ];
  return parts.filter(Boolean).join("\n\n");
}

function frameText(
  { task, file, asked, level, teacher, words }: SheetFrame,
  templates: SheetTemplates,
): string {
  const labelled = (key: string, text: string): string => `${filled(templates, key)}: ${text}`;
  return [
    [task, file.split("/").at(-1) ?? file, asked, level]
      .filter((part) => part !== null)
      .join(" - "),
    words.verdict,
    words.cause === null ? null : labelled("why-heading", words.cause),
    labelled("next-heading", words.next),
    labelled("well-heading", words.well),
    teacher,
  ]
    .filter((part) => part !== null)
    .map((part, i) => (i === 0 ? line(part) : indented(part)))
    .join("\n");
}

function line(text: string): string {
  return wrapped(safeText(text), WIDTH);
}

function indented(text: string): string {
  return `  ${wrapped(safeText(text), WIDTH - 2).replaceAll("\n", "\n  ")}`;
}
