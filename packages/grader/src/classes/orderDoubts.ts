import type { Flag, MarkedFrame, MarkedRow } from "../model/markedClass.ts";
import { countText } from "../model/words.ts";
import type { ReadyExercise } from "./classFile.ts";
import type { HandIn } from "./handIn.ts";
import type { RecordedFile } from "./markRecord.ts";

/** The code that the flag and the reason of a missing level share. */
export const ORDER_IN_DOUBT = "order-in-doubt";

/** A student whose files may answer other tasks than those that their order gives them. */
export interface OrderDoubt {
  readonly student: string;
  /** Files whose task no glob or keyword tells, copies of one once. */
  readonly handIns: readonly HandIn[];
  /** How many frames the tasks ask for that order alone tells apart. */
  readonly asked: number;
}

/**
 * Students who handed in more or fewer files than the tasks ask for that only the order of names tells apart. Where one is
 * missing, or a burst or a second attempt stands between, each file after it would be judged by another task's placement.
 *
 * @param handIns - of the exercise
 * @param files - with their hashes: a copy of a file is no further one
 */
export function orderDoubts(
  { tasks }: ReadyExercise,
  handIns: readonly HandIn[],
  files: ReadonlyMap<HandIn, RecordedFile>,
): readonly OrderDoubt[] {
  const ordered = tasks.filter(({ by }) => by === "order");
  // Tasks that ask for the same judge every file alike, whichever it answers.
  if (new Set(ordered.map(({ brief }) => JSON.stringify(brief))).size < 2) return [];
  const asked = ordered.reduce((sum, { frames }) => sum + frames, 0);
  const students = [...new Set(handIns.map(({ student }) => student))];
  return students.flatMap((student) => {
    const own = handIns.filter(
      (handIn) => handIn.student === student && (handIn.by === "order" || handIn.by === null),
    );
    const byHash = new Map(own.map((one) => [files.get(one)?.sha256 ?? one.file, one]));
    const isInDoubt = byHash.size !== asked && own.some(({ by }) => by === "order");
    return isInDoubt ? [{ student, handIns: [...byHash.values()], asked }] : [];
  });
}

/** Whether a frame may answer another task than that of its row, so that nothing is said of how it fell. */
export function mayBeAnothers({ level }: MarkedRow, { by }: MarkedFrame): boolean {
  return by === "order" && level.reason.code === ORDER_IN_DOUBT;
}

/** What the teacher should look at where the order of a student's files is in doubt. */
export function orderFlags(doubts: readonly OrderDoubt[]): readonly Flag[] {
  return doubts.map(({ student, handIns, asked }): Flag => {
    const taken = handIns.filter(({ task }) => task !== null);
    const answers = taken.map(({ file, task }) => `${file} for ${task}`);
    return {
      code: ORDER_IN_DOUBT,
      students: [student],
      files: handIns.map(({ file }) => file),
      task: taken[0]?.task ?? null,
      message: `${student} handed in ${countText(handIns.length, "picture")} where ${asked} are asked for, and only their order tells which task each answers: look which is which, and give their levels.`,
      evidence: [{ code: "order", message: `Taken in order: ${answers.join(", ")}.` }],
    };
  });
}
