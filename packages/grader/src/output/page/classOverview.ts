import type { TermExercise, TermProgress } from "../../classes/progress/termProgress.ts";
import type { Flag, MarkedClass, MarkedExercise, MarkedFrame } from "../../model/markedClass.ts";
import { taskSentence } from "../text/progressTable.ts";
import {
  classTrendSentence,
  lessonSentence,
  studentSentence,
  TREND_WORDS,
  wordSentences,
} from "../text/progressWords.ts";
import { type Content, dataElement, html, type Markup } from "./markup.ts";
import { type MatrixCell, matrixCell } from "./matrixCell.ts";
import { boundedFigure, typeset } from "./pageWords.ts";
import { progressPlots } from "./progressPlots.ts";
import { CAUSE_WORDS, VERDICT_MARKS } from "./wording.ts";

/** What the class page is made of. */
export interface ClassOverview {
  readonly marked: MarkedClass;
  readonly term: TermProgress;
  readonly nameOf: (student: string) => string;
  /** Where a frame's card is, seen from this page; null where it has none. */
  readonly addressOf: (frame: MarkedFrame) => string | null;
  /** What to hand back, by exercise: one text a student. */
  readonly feedback: Readonly<Record<string, string>>;
}

/** The page of a class: what to teach next, the matrix, what to look at, progress, and all feedback to copy. */
export function classOverview(overview: ClassOverview): Markup {
  const { term, nameOf } = overview;
  return html`${lesson(term, nameOf)}
${matrixSection(overview)}
${flagSection(overview)}
<section id="progress" class="panel no-print" aria-labelledby="progress-title"><h2 id="progress-title">Progress</h2>
${progressPlots(term, nameOf) ?? html`<p>Progress shows from the second exercise on.</p>`}</section>
${feedbackSection(overview)}`;
}

function lesson(
  { nextLesson, missedTasks, trend, students }: TermProgress,
  nameOf: ClassOverview["nameOf"],
): Markup {
  const words = wordSentences(students, nameOf);
  const points = [...nextLesson.map((topic) => lessonSentence(topic, nameOf)), ...words];
  return html`<section id="lesson" class="panel" aria-labelledby="lesson-title"><h2 id="lesson-title">Next lesson</h2>
${nextLesson.length === 0 && html`<p>No cause is shared by several students.</p>`}${points.length > 0 && html`<ul>${points.map((point) => html`<li>${typeset(point)}</li>`)}</ul>`}${nextLesson.length === 0 && html`<p class="quiet small">${typeset(classTrendSentence(trend))}</p>`}
${missedTasks.length > 0 && html`<details class="no-print"><summary>${missedTasks.length === 1 ? "One task that most students missed" : `${missedTasks.length} tasks that most students missed`}</summary><ul>${missedTasks.map((task) => html`<li>${typeset(taskSentence(task))}</li>`)}</ul></details>`}</section>`;
}

function matrixSection({ marked, term, nameOf, addressOf }: ClassOverview): Markup {
  const cells = marked.students.map((student) =>
    marked.exercises.map((exercise) => matrixCell(exercise, student, marked.levels)),
  );
  const causes = [...new Set(cells.flat().flatMap((cell) => cell.causes))].sort();
  return html`<section id="matrix" class="panel" aria-labelledby="matrix-title"><h2 id="matrix-title">Students and exercises</h2>
<form class="class-filter no-print" hidden><label>Cause <select name="cause"><option value="">all</option>${causes.map((cause) => html`<option value="${cause}">${CAUSE_WORDS[cause]}</option>`)}</select></label>
<button type="reset">Show all</button> <button type="button" class="print">Print one page</button> <span role="status"></span></form>
<p class="key small quiet">${["over", "under", "within", "undecided"].map((verdict) => html`<span><span class="mark ${verdict}" aria-hidden="true">${VERDICT_MARKS[verdict] ?? ""}</span> ${VERDICT_WORD[verdict] ?? ""}</span> `)}The figure is the error of the task that fell furthest from its placement, in stops.</p>
<div class="scroll" role="region" aria-label="Students and exercises, a table" tabindex="0"><table class="matrix"><caption class="unseen">Every student's exercises: the error furthest from its placement, in stops</caption>
<thead><tr><th scope="col">Student</th>${marked.exercises.map(({ id, title, due }) => html`<th scope="col" class="week" data-short="${id}">${id}${title && html` <span class="due exercise-title" title="${title}"><bdi>${title}</bdi></span>`}${due && html` <span class="due">${due.split(" ").map((part) => html`<span class="no-break">${part}</span> `)}</span>`}</th>`)}<th scope="col" class="trend">Trend</th></tr></thead>
<tbody>${marked.students.map((student, i) => studentRow(student, cells[i] ?? [], term, nameOf, addressOf))}</tbody>
${foot(marked.exercises, term)}</table></div></section>`;
}

const VERDICT_WORD: Readonly<Record<string, string>> = {
  over: "lighter",
  under: "darker",
  within: "within",
  undecided: "cannot tell",
};

function studentRow(
  student: string,
  cells: readonly MatrixCell[],
  { students }: TermProgress,
  nameOf: ClassOverview["nameOf"],
  addressOf: ClassOverview["addressOf"],
): Markup {
  const progress = students.find((one) => one.student === student);
  return html`<tr><th scope="row"><bdi>${nameOf(student)}</bdi></th>${cells.map((cell) => html`<td data-causes="${cell.causes.join(" ")}">${cellContent(cell, addressOf)}</td>`)}<td class="trend">${progress ? html`${TREND_WORDS[progress.trend.kind]}<span class="detail">${typeset(studentSentence(progress))}</span>` : null}</td></tr>`;
}

function cellContent(cell: MatrixCell, addressOf: ClassOverview["addressOf"]): Content {
  const { frame, frames, held, missing, lowest, overridden } = cell;
  if (frames === 0) return html`<span class="quiet">– <span class="nothing">missing</span></span>`;
  const address = frame && addressOf(frame);
  const told = cellFigure(cell);
  const level = lowest === null ? null : `${lowest}${overridden ? " (teacher)" : ""}`;
  return html`${address === null ? told : html`<a href="${address}">${told}</a>`}<span class="detail">${held} of ${frames} held</span>${missing > 0 && html`<span class="detail">${missing} missing</span>`}${level && html`<span class="detail">${level}</span>`}`;
}

function cellFigure({ furthest, frame }: MatrixCell): Markup {
  if (!furthest?.error) {
    return html`<span class="quiet">${frame?.row.failure ? "unreadable" : "not judged"}</span>`;
  }
  const verdict = furthest.verdict ?? "undecided";
  return html`<span class="${verdict}"><span class="mark" aria-hidden="true">${VERDICT_MARKS[verdict] ?? ""}</span><span class="unseen">${VERDICT_WORD[verdict] ?? ""} </span>${boundedFigure(furthest.error)}</span>`;
}

function foot(exercises: readonly MarkedExercise[], term: TermProgress): Markup {
  const of = (id: string): TermExercise | undefined =>
    term.exercises.find(({ exercise }) => exercise === id);
  const row = (title: string, cell: (exercise: TermExercise) => Content): Markup =>
    html`<tr><th scope="row">${title}</th>${exercises.map(({ id }) => {
      const found = of(id);
      return html`<td>${found ? cell(found) : "–"}</td>`;
    })}<td></td></tr>`;
  return html`<tfoot>${row("Median miss, stops", ({ missStops }) =>
    missStops
      ? html`${missStops.median.toFixed(2)}<span class="detail">middle half ${missStops.lowerQuartile.toFixed(2)} to ${missStops.upperQuartile.toFixed(2)}</span>`
      : "–",
  )}${row("Commonest cause", ({ commonestCause }) =>
    commonestCause
      ? html`${CAUSE_WORDS[commonestCause.cause]}<span class="detail">${commonestCause.students} of ${commonestCause.of} who missed</span>`
      : "–",
  )}</tfoot>`;
}

/** Of more flags than this, the rest are folded: what comes below them stays near. */
const FLAGS_SHOWN = 8;

function flagSection({ marked, nameOf, addressOf }: ClassOverview): Markup {
  const frames = new Map(
    marked.exercises
      .flatMap(({ rows }) => rows)
      .flatMap((row) => row.frames.map((frame) => [frame.file, frame] as const)),
  );
  const linked = (file: string): Markup => {
    const frame = frames.get(file);
    const address = frame ? addressOf(frame) : null;
    return address === null
      ? html`<li>${file}</li>`
      : html`<li><a href="${address}">${file}</a></li>`;
  };
  const items = (flags: readonly Flag[]): Markup =>
    html`<ul class="flags">${flags.map(
      ({ message, students, files, evidence }) =>
        html`<li><p>${message}</p><details><summary>${students.map(nameOf).join(", ")}: evidence</summary><ul>${evidence.map((one) => html`<li>${one.message}</li>`)}${files.map(linked)}</ul></details></li>`,
    )}</ul>`;
  const list = (flags: readonly Flag[]): Markup =>
    html`${items(flags.slice(0, FLAGS_SHOWN))}${flags.length > FLAGS_SHOWN && html`<details><summary>${flags.length - FLAGS_SHOWN} more</summary>${items(flags.slice(FLAGS_SHOWN))}</details>`}`;
  const flagged = marked.exercises.filter(({ flags }) => flags.length > 0);
  const latest = flagged.at(-1);
  if (!latest) return html``;
  const earlier = flagged.slice(0, -1);
  return html`<section id="look" class="panel no-print" aria-labelledby="look-title"><h2 id="look-title">Look at these first</h2>
<h3><bdi>${latest.title ?? latest.id}</bdi></h3>${list(latest.flags)}
${earlier.map(({ id, title, flags }) => html`<details><summary><bdi>${title ?? id}</bdi> (${flags.length})</summary>${list(flags)}</details>`)}</section>`;
}

function feedbackSection({ marked, feedback }: ClassOverview): Markup {
  const exercises = marked.exercises.toReversed();
  return html`<section id="feedback" class="panel no-print" aria-labelledby="feedback-title" hidden><h2 id="feedback-title">All feedback</h2>
<form><label>Exercise <select name="exercise">${exercises.map(({ id, title }) => html`<option value="${id}">${title ?? id}</option>`)}</select></label>
<button type="button" class="copy">Copy all feedback</button> <span role="status"></span></form>
<textarea rows="10" readonly spellcheck="false" aria-labelledby="feedback-title"></textarea></section>
${dataElement("feedback-data", feedback)}`;
}
