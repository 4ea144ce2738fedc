import type { MissedTask } from "../../classes/progress/classProgress.ts";
import type { StudentProgress } from "../../classes/progress/studentProgress.ts";
import type { TermExercise, TermProgress } from "../../classes/progress/termProgress.ts";
import { countText, safeText, stopsText } from "../../model/words.ts";
import { CAUSE_WORDS } from "../page/wording.ts";
import {
  aboutText,
  classTrendSentence,
  lessonSentence,
  studentSentence,
  TREND_WORDS,
  wordSentences,
} from "./progressWords.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";
import { wrapped } from "./wrapped.ts";

/** Names in place of codes, where they were asked for. */
export type NameOf = (student: string) => string;

/** Progress of a class as text: the class by exercise, each student in the order of the class file, what to teach next. */
export function progressTable(
  { class: name, exercises, students, trend, missedTasks, nextLesson }: TermProgress,
  style: TableStyle,
  nameOf: NameOf = (student) => student,
): string {
  if (exercises.length === 0) {
    return `Progress of ${safeText(name)}\nNothing has been handed in yet.\n`;
  }
  const sections = [
    [
      style.heading(`Progress of ${safeText(name)}, ${countText(exercises.length, "exercise")}`),
      "Miss: distance from the placement in stops, lighter or darker alike; 0.33 is a third of a stop.",
    ]
      .map((line) => wrapped(line, style.width))
      .join("\n"),
    textTable(EXERCISE_COLUMNS, exercises, style),
    wrapped(
      exercises.some(({ missStops }) => missStops) ? classTrendSentence(trend) : NONE_JUDGED,
      style.width,
    ),
    textTable(studentColumns(nameOf), students, style),
    listed("Most students missed", missedTasks.map(taskSentence), style),
    listed(
      "Next lesson",
      [
        ...nextLesson.map((topic) => lessonSentence(topic, nameOf)),
        ...wordSentences(students, nameOf),
      ],
      style,
    ),
  ];
  return `${sections.filter(Boolean).join("\n\n")}\n`;
}

const NONE_JUDGED =
  "No frame was judged yet. Say in the class file where the tone of each task belongs, such as place: tar.";

const EXERCISE_COLUMNS: readonly Column<TermExercise>[] = [
  {
    title: "Exercise",
    cell: ({ exercise }) => safeText(exercise),
    shrinksTo: 8,
    gives: "shortens",
  },
  { title: "Students", cell: ({ students }) => `${students}`, align: "right" },
  { title: "Missing", cell: ({ missing }) => `${missing}`, align: "right" },
  {
    title: "Miss",
    cell: ({ missStops }) => missStops?.median.toFixed(2) ?? "-",
    align: "right",
  },
  {
    title: "Middle half",
    cell: ({ missStops }) =>
      missStops
        ? `${missStops.lowerQuartile.toFixed(2)} to ${missStops.upperQuartile.toFixed(2)}`
        : "-",
  },
  {
    title: "Commonest cause",
    cell: ({ commonestCause }) =>
      commonestCause
        ? `${CAUSE_WORDS[commonestCause.cause]} (${commonestCause.students} of ${commonestCause.of} who missed)`
        : "-",
    shrinksTo: 20,
  },
];

function studentColumns(nameOf: NameOf): readonly Column<StudentProgress>[] {
  return [
    {
      title: "Student",
      cell: ({ student }) => safeText(nameOf(student)),
      shrinksTo: 8,
      gives: "shortens",
    },
    { title: "Misses, in order", cell: missesText, shrinksTo: 24 },
    { title: "Trend", cell: ({ trend }) => TREND_WORDS[trend.kind] },
    { title: "In words", cell: studentSentence, shrinksTo: 20 },
  ];
}

function missesText({ exercises }: StudentProgress): string {
  return exercises
    .map(({ frames, missStops }) => (frames === 0 ? "–" : (missStops?.median.toFixed(1) ?? "?")))
    .join(" ");
}

/** A task that most missed, in one sentence. */
export function taskSentence({
  exercise,
  task,
  missed,
  of,
  errorStops,
  alike,
}: MissedTask): string {
  const side = alike
    ? `all much alike, ${aboutText(Math.abs(errorStops))} too ${errorStops > 0 ? "light" : "dark"}; look at the brief`
    : `each differently (in the middle ${stopsText(errorStops)})`;
  return `${safeText(task)} of ${safeText(exercise)}: ${missed} of ${of}, ${side}.`;
}

function listed(title: string, lines: readonly string[], { width, heading }: TableStyle): string {
  if (lines.length === 0) return "";
  return [heading(`${title}:`), ...lines.map((line) => hanging(line, width))].join("\n");
}

function hanging(line: string, width: number): string {
  return `- ${wrapped(line, width - 2).replaceAll("\n", "\n  ")}`;
}
