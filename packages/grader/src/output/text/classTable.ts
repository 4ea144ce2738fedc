import type {
  Flag,
  MarkedClass,
  MarkedExercise,
  MarkedFrame,
  MarkedRow,
  MarkedSummary,
} from "../../model/markedClass.ts";
import { boundedStopsText, countText, outcomeText, safeText } from "../../model/words.ts";
import { CAUSE_WORDS } from "../page/wording.ts";
import { type Paint, paintVerdict } from "./frameTable.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";
import { wrapped } from "./wrapped.ts";

/** How a marked class becomes a table. */
export interface ClassTableOptions {
  readonly width: number;
  readonly paint: Paint;
  /** Names by code, where the teacher asked for them. */
  readonly names: ReadonlyMap<string, string> | null;
}

/** A marked class as tables for a terminal: each exercise's sheet, what to look at first, and a summary. */
export function classTable(marked: MarkedClass, options: ClassTableOptions): string {
  const { strong } = options.paint;
  const title = strong(safeText(marked.class));
  if (marked.exercises.length === 0) return `${title}\n\nNothing was handed in yet.\n`;
  const exercises = marked.exercises.map((exercise) => exerciseText(exercise, options));
  return `${[title, ...exercises].join("\n\n")}\n`;
}

function exerciseText(exercise: MarkedExercise, options: ClassTableOptions): string {
  const { width, paint, names } = options;
  const style: TableStyle = { width, heading: paint.strong };
  const { id, title, due, rows, flags, summary } = exercise;
  const named = title === null ? id : `${id}: ${title}`;
  const heading = `${named}${due === null ? "" : ` (due ${due})`}`;
  const sections = [
    paint.strong(safeText(heading)),
    textTable(columnsOf(rows, paint, names), rows, style),
    unaskedText(exercise, width),
    flagsText(flags, options),
    wrapped(summaryText(summary), width),
    unplacedText(exercise, width),
  ];
  return sections.filter((section) => section !== "").join("\n\n");
}

function columnsOf(
  rows: readonly MarkedRow[],
  paint: Paint,
  names: ClassTableOptions["names"],
): Column<MarkedRow>[] {
  const first = new Set(rows.filter(({ student }, i) => rows[i - 1]?.student !== student));
  const nameOf = (code: string): string => {
    const name = names?.get(code);
    return name === undefined ? code : `${code} ${name}`;
  };
  return [
    {
      title: "Student",
      cell: (row) => (first.has(row) ? safeText(nameOf(row.student)) : ""),
      shrinksTo: 8,
    },
    { title: "Task", cell: ({ task }) => safeText(task), shrinksTo: 8, gives: "shortens" },
    { title: "Verdict", cell: (row) => paintVerdict(row.verdict, verdictText(row), paint) },
    {
      title: "Error",
      cell: ({ error }) => (error ? boundedStopsText(error) : "-"),
      align: "right",
    },
    { title: "Level", cell: levelText, shrinksTo: 8 },
    { title: "Cause, and what else", cell: remarkText, shrinksTo: 16 },
  ];
}

function verdictText({ verdict, frames }: MarkedRow): string {
  if (frames.length === 0) return "missing";
  if (verdict) return outcomeText({ verdict, failure: null });
  const failed = frames.find(({ row }) => row.failure !== null);
  return outcomeText({ verdict: null, failure: failed?.row.failure ?? null });
}

/** The level that counts; a star where the teacher gave it. */
function levelText({ level }: MarkedRow): string {
  const text = safeText(level.level ?? "-");
  return level.override === null ? text : `${text}*`;
}

function remarkText(row: MarkedRow): string {
  const { cause, frames, missing, surplus, level } = row;
  const late = frames.filter((frame) => frame.late.late === true);
  const said = [
    cause === null ? "" : cause === "not-known" ? "cause not known" : CAUSE_WORDS[cause],
    unreadableText(frames),
    frames.some(({ from }) => from === "slip") ? "from a slip" : "",
    level.level === null && level.reason.code === "at-least" ? "level open" : "",
    level.reason.code === "order-in-doubt" ? "which task in doubt" : "",
    level.reason.code === "no-placement" ? fallText(frames) : "",
    levelReasonText(row),
    missing > 0 && frames.length > 0 ? `${countText(missing, "frame")} missing` : "",
    surplus.length > 0 ? `${countText(surplus.length, "frame")} too many` : "",
    late.length > 0 ? lateText(late) : "",
    level.override === null ? "" : overrideText(row),
  ];
  return said.filter((part) => part !== "").join("; ");
}

/** Why the level is another than that of the frame that is shown, whose error would belie it. */
function levelReasonText({ shown, frames, level: { level, reason, override } }: MarkedRow): string {
  const own = frames.find(({ file }) => file === shown)?.level;
  const isPlain = override === null && level !== null && reason.code === "limits";
  return isPlain && own && own !== level ? safeText(reason.message.replace(/\.$/, "")) : "";
}

function unreadableText(frames: readonly MarkedFrame[]): string {
  const failed = frames.filter(({ row }) => row.failure !== null).length;
  return failed === 0 ? "" : `${countText(failed, "frame")} unreadable`;
}

/** Where the tones of a task without a placement fell. */
function fallText(frames: readonly MarkedFrame[]): string {
  const falls = frames.flatMap(({ row }) => (row.fall ? [boundedStopsText(row.fall)] : []));
  return falls.length === 0 ? "" : `fell at ${falls.join(", ")}`;
}

function lateText(late: readonly MarkedFrame[]): string {
  const hours = Math.max(...late.map((frame) => frame.late.hours ?? 0));
  const by = hours < 48 ? `${Math.ceil(hours)} h` : `${Math.round(hours / 24)} days`;
  return `late by ${by}`;
}

function overrideText({ level }: MarkedRow): string {
  const was = level.suggested === null ? "no suggestion" : `${level.suggested} suggested`;
  const why = level.override?.why ? `: ${level.override.why}` : "";
  return safeText(`teacher's level, ${was}${why}`);
}

/** Files that are named; JSON has them all. */
const MOST_UNASKED = 12;

function unaskedText({ unasked }: MarkedExercise, width: number): string {
  if (unasked.length === 0) return "";
  const named = unasked.slice(0, MOST_UNASKED).map(({ file }) => safeText(file));
  const more = unasked.length > named.length ? ` and ${unasked.length - named.length} more` : "";
  return wrapped(`Answer no task, and are not graded: ${named.join(", ")}${more}.`, width, true);
}

/** Flags that a terminal shows; JSON has them all. */
const MOST_FLAGS = 40;

function flagsText(
  flags: readonly Flag[],
  { width, paint }: Pick<ClassTableOptions, "width" | "paint">,
): string {
  if (flags.length === 0) return "";
  const shown = flags.slice(0, MOST_FLAGS).map(({ message, evidence }) => {
    const lines = wrapped(safeText(message), width - 2).split("\n");
    const said = wrapped(safeText(evidence.map((one) => one.message).join(" ")), width - 4);
    return [
      ...lines.map((line, i) => (i === 0 ? `- ${line}` : `  ${line}`)),
      ...said.split("\n").map((line) => paint.faint(`    ${line}`)),
    ].join("\n");
  });
  const more =
    flags.length > MOST_FLAGS ? [`  and ${flags.length - MOST_FLAGS} more: see -f json`] : [];
  return [
    paint.strong("For your eyes first. Each of these can have a harmless reason."),
    ...shown,
    ...more,
  ].join("\n");
}

/** What to do about tasks whose frames cannot be judged. */
function unplacedText({ rows }: MarkedExercise, width: number): string {
  const unplaced = rows.filter(({ level }) => level.reason.code === "no-placement");
  const tasks = [...new Set(unplaced.map(({ task }) => safeText(task)))];
  if (tasks.length === 0) return "";
  return wrapped(
    `Measured, and not judged: ${tasks.join(", ")}. Say in the class file where the tone belongs, such as place: tar.`,
    width,
  );
}

function summaryText(summary: MarkedSummary): string {
  const { rows, levels, withoutLevel, missing, surplus, late, unreadable } = summary;
  const counts: [number, string][] = [
    ...Object.entries(levels).map(([name, count]): [number, string] => [count, safeText(name)]),
    [withoutLevel, "without a level"],
  ];
  const frames: [number, string][] = [
    [missing, "missing"],
    [surplus, "too many"],
    [late, "late"],
    [unreadable, "unreadable"],
  ];
  const told = (parts: readonly [number, string][]): string =>
    parts
      .filter(([count]) => count > 0)
      .map(([count, word]) => `${count} ${word}`)
      .join(", ");
  const ofFrames = told(frames);
  return `${countText(rows, "task")}: ${told(counts)}.${ofFrames === "" ? "" : ` Frames: ${ofFrames}.`}`;
}
