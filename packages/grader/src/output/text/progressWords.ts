import { speakStops } from "@tonefall/tone-core";
import type { LessonTopic } from "../../classes/progress/classProgress.ts";
import type { Leaning } from "../../classes/progress/leaning.ts";
import { LEAST_EXERCISES, LEAST_FRAMES, type MissTrend } from "../../classes/progress/missTrend.ts";
import type { RecurringCause } from "../../classes/progress/recurringCause.ts";
import type { StudentProgress } from "../../classes/progress/studentProgress.ts";
import type { Improvement } from "../../classes/progress/whatImproved.ts";
import { countText, safeText, sentenceCase } from "../../model/words.ts";
import { CAUSE_WORDS } from "../page/wording.ts";

/** Trends in one or two words, for a column. */
export const TREND_WORDS: Readonly<Record<MissTrend["kind"], string>> = {
  improves: "↘ closer",
  worsens: "↗ further off",
  "no-clear-change": "→ no clear change",
  "cannot-tell-yet": "cannot tell yet",
};

/** A student's term in one to three sentences: the trend, what improved, the cause that recurs. Ranks nobody. */
export function studentSentence({
  trend,
  improved,
  recurring,
  leaning,
  exercises,
}: StudentProgress): string {
  if (exercises.every(({ frames }) => frames === 0)) return "Nothing handed in yet.";
  const sentences = [
    ...improved.slice(0, 1).map(improvementSentence),
    heldAll(exercises) ? "Held every frame so far." : "",
    // That it is early is said once, of the class.
    trend.kind === "cannot-tell-yet" && trend.eachTime !== "smaller" ? "" : trendSentence(trend),
    leaning ? `${leaningText(leaning)}.` : "",
    recurring ? recurringSentence(recurring) : "",
  ];
  return sentences.filter(Boolean).join(" ") || trendSentence(trend);
}

/** What the misses do along the term. */
function trendSentence({ kind, exercises, frames, fitted, eachTime }: MissTrend): string {
  switch (kind) {
    case "improves":
      return `Closer over ${countText(exercises, "exercise")}: from ${aboutText(fitted?.first)} off to ${aboutText(fitted?.last)}.`;
    case "worsens":
      return `Further off over ${countText(exercises, "exercise")}: from ${aboutText(fitted?.first)} off to ${aboutText(fitted?.last)}; ask what got harder.`;
    case "no-clear-change":
      return fitted && fitted.last < HELD
        ? `Steadily close to placement over ${countText(exercises, "exercise")}.`
        : `No clear change over ${countText(exercises, "exercise")} so far.`;
    case "cannot-tell-yet":
      if (frames === 0) return "No frame was judged yet.";
      return eachTime === "smaller"
        ? `Closer each time so far; ${countText(exercises, "exercise")} are too few for a trend.`
        : `Too early for a trend, with ${countText(frames, "frame")} over ${countText(exercises, "exercise")}.`;
  }
}

function heldAll(exercises: StudentProgress["exercises"]): boolean {
  return exercises.every(({ missed }) => missed === 0) && exercises.some(({ held }) => held > 0);
}

/** What the class's median does along the term. */
export function classTrendSentence(trend: MissTrend): string {
  if (trend.kind !== "cannot-tell-yet") return `The class: ${trendSentence(trend)}`;
  const so = trend.eachTime === "smaller" ? "The class was closer each time so far. " : "";
  return `${so}A trend takes ${LEAST_FRAMES} frames over ${LEAST_EXERCISES} exercises.`;
}

/** Misses that are smaller on the fitted line, stops, are held. */
const HELD = 1 / 3;

/** The cause that recurs, with where. */
function recurringSentence({ cause, exercises, of }: RecurringCause): string {
  return `Recurs in ${exercises.length} of the last ${of}: ${CAUSE_WORDS[cause]}.`;
}

const TONE_WORDS: Readonly<Record<Leaning["tones"], string>> = {
  all: "Frames",
  dark: "Dark tones",
  light: "Light tones",
};

/** The side to which frames keep falling, without a full stop. */
function leaningText({ tones, side, errorStops, exercises, of }: Leaning): string {
  const where =
    exercises.length === of ? `all ${of} exercises` : `${exercises.length} of ${of} exercises`;
  return `${TONE_WORDS[tones]} came out ${side} than placed in ${where}, by ${aboutText(Math.abs(errorStops))}`;
}

/** One thing that went better. */
function improvementSentence(improvement: Improvement): string {
  switch (improvement.kind) {
    case "all-held":
      return `Every frame of ${safeText(improvement.exercise)} was held.`;
    case "closest-yet":
      return `Closest yet: ${aboutText(improvement.lastStops)} off in ${safeText(improvement.exercise)}, ${aboutText(improvement.firstStops)} at first.`;
    case "cause-gone":
      return `Not seen in the last two exercises: ${CAUSE_WORDS[improvement.cause]}.`;
  }
}

/** Names that one sentence holds. */
const NAMED = 6;

/** Whom to have a word with, and whom to praise, in the order of the class file: it ranks nobody. */
export function wordSentences(
  students: readonly StudentProgress[],
  nameOf: (student: string) => string = (student) => student,
): string[] {
  const repeats = students.flatMap((student) => {
    const habit = habitText(student);
    return habit ? [`Worth a word with ${safeText(nameOf(student.student))}: ${habit}.`] : [];
  });
  const week = students[0]?.exercises.at(-1)?.exercise ?? "";
  const held = students
    .filter(({ improved }) =>
      improved.some((one) => one.kind === "all-held" && one.exercise === week),
    )
    .map(({ student }) => safeText(nameOf(student)));
  const more = repeats.length - NAMED;
  return [
    ...repeats.slice(0, NAMED),
    more > 0
      ? `${more} more ${more === 1 ? "has a habit" : "have habits"}: see the table of students.`
      : "",
    held.length > 0
      ? `Worth praise: ${nameList(held)} held every frame of ${safeText(week)}, after earlier misses.`
      : "",
  ].filter(Boolean);
}

function habitText({ recurring, leaning }: StudentProgress): string | null {
  if (recurring) {
    return `${CAUSE_WORDS[recurring.cause]} in ${recurring.exercises.length} of the last ${recurring.of}`;
  }
  if (!leaning?.habit) return null;
  const text = leaningText(leaning);
  return text[0]?.toLowerCase() + text.slice(1);
}

function nameList(names: readonly string[]): string {
  if (names.length > NAMED)
    return `${names.slice(0, NAMED).join(", ")} and ${names.length - NAMED} more`;
  return names.length > 1 ? `${names.slice(0, -1).join(", ")} and ${names.at(-1)}` : `${names[0]}`;
}

/** What the next lesson should cover, one line a topic. */
export function lessonSentence(topic: LessonTopic, nameOf: (student: string) => string): string {
  switch (topic.kind) {
    case "cause":
      return `${sentenceCase(CAUSE_WORDS[topic.cause])}: behind the misses of ${topic.students} of ${countText(topic.of, "student")} who missed in ${topic.exercises.map(safeText).join(" and ")}.`;
    case "brief":
      return `The brief of ${safeText(topic.task)} (${safeText(topic.exercise)}): ${topic.missed} of ${topic.of} missed it alike, ${aboutText(Math.abs(topic.errorStops))} ${topic.errorStops > 0 ? "too light" : "too dark"}. Was it clear, and was the light as planned?`;
    case "ask":
      return `Ask ${nameList(topic.students.map((student) => safeText(nameOf(student))))} what got harder.`;
  }
}

/** The size of a miss as a sentence gives it; the least is no round figure. */
export function aboutText(stops: number | undefined): string {
  const text = missText(stops);
  return text.startsWith("less") ? text : `about ${text}`;
}

/** The size of a miss as people say it. */
function missText(stops: number | undefined): string {
  const text = speakStops(stops ?? 0);
  return text === "no difference" ? "less than 1/6 stop" : text;
}
