import type { MarkedExercise, MarkedFrame, MarkedRow } from "../../model/markedClass.ts";
import { errorText, outcomeText, safeText, settingsText } from "../../model/words.ts";
import type { FrameView } from "./frameView.ts";
import { html, type Markup } from "./markup.ts";
import { typeset } from "./pageWords.ts";
import { regionPicture } from "./regionPicture.ts";
import { stopScalePlot } from "./stopScalePlot.ts";
import { CAUSE_WORDS, VERDICT_MARKS } from "./wording.ts";

/** A frame's place among those of its exercise. */
export interface ClassCard {
  /** The element that holds it. */
  readonly id: string;
  readonly exercise: MarkedExercise;
  readonly row: MarkedRow;
  readonly frame: MarkedFrame;
}

/** One frame of a class: its picture, where the tone fell, the words for the student, what the teacher should know. */
export function classCard(
  { id, exercise, row: { task, level, student }, frame }: ClassCard,
  picture: FrameView["picture"],
  nameOf: (student: string) => string,
): Markup {
  const { row, file, late } = frame;
  const { verdict, error, region, failure, feedback, causes } = row;
  const name = file.split("/").at(-1) ?? file;
  const flags = exercise.flags.filter(({ files }) => files.includes(file));
  return html`<article class="class-card" id="${id}" tabindex="-1">
<header><h3><span class="unseen">${nameOf(student)}, </span>${task} <span class="quiet small">${name}</span></h3><p class="${verdict ?? "none"}"><span class="mark" aria-hidden="true">${VERDICT_MARKS[verdict ?? ""] ?? ""}</span> <strong>${outcomeText(row).replace(/^[▲▼] /, "")}</strong>${error ? html` <span class="no-break">${typeset(errorText(error))}</span>` : null}</p></header>
<div class="class-card-body">${regionPicture(name, { picture }, region === null ? [] : [{ name: null, region }])}<div class="said">
${failure ? html`<p>Not graded: ${failure.message}</p>` : row.fall || row.placement ? stopScalePlot("Where the tone was placed, and where it fell", [{ name, row }]) : null}
${feedback ? html`<p>${typeset(feedback.text)}</p>` : null}
<p class="small quiet">${[
    causes[0] && `Cause: ${CAUSE_WORDS[causes[0].code]}`,
    level.level && `Level of the task: ${level.level}${level.override ? " (teacher)" : ""}`,
    settingsText(row.exposure),
    late.late === true ? late.reason.message : null,
  ]
    .filter((part): part is string => Boolean(part))
    .map(safeText)
    .join(" · ")}</p>
${flags.map(({ message }) => html`<p class="flag">${message}</p>`)}</div></div></article>`;
}
