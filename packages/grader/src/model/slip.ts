import type { FrameResult, SCHEMA_VERSION } from "./result.ts";

/** Version of the shape of a slip; a change that breaks a reader raises it. */
export const SLIP_VERSION = 1;

/** What every slip says of itself, for whoever opens the file. */
export const SLIP_ABOUT =
  "Made by a hand-in page in the student's own browser. It is not signed: anybody can change it, and only the pictures themselves prove what they show.";

/**
 * What a student hands in beside the pictures, or before them: which files, graded by the page.
 *
 * It holds no picture, position, serial number, owner or author.
 */
export interface Slip {
  /** Version of this shape. Comes first, so that the file is recognised by its beginning. */
  readonly slip: typeof SLIP_VERSION;
  /** Version of the shape of the rows. */
  readonly schemaVersion: typeof SCHEMA_VERSION;
  /** Always false: anybody can change the file. */
  readonly signed: false;
  /** The same in a sentence. */
  readonly about: string;
  /** The exercise: its name in the class file, or the title of the page. */
  readonly exercise: string;
  /** SHA-256 of the exercise as the page had it, hexadecimal: slips of one page agree on it. */
  readonly exerciseSha256: string;
  /** The student's code; null where none was entered. */
  readonly student: string | null;
  /** When the slip was saved, by the clock of the student's device, ISO 8601 in UTC. */
  readonly savedAt: string;
  /** Version of Tonefall that made the page. */
  readonly tonefall: string;
  /** Whether the page kept falls and verdicts from the student. */
  readonly verdictHidden: boolean;
  /** One for each picture, in the order of the tasks. */
  readonly frames: readonly SlipFrame[];
}

/** One picture of a slip. */
export interface SlipFrame {
  /** The task's name in the class file, or its glob in the brief file. */
  readonly task: string;
  /** SHA-256 of the file's bytes, hexadecimal. */
  readonly sha256: string;
  /** Length of the file, bytes. */
  readonly bytes: number;
  /** The region that was graded, in its text form; null where nothing was graded. */
  readonly region: string | null;
  /** Who chose that region: the exercise, the student on the page, or the file's own metadata. */
  readonly regionFrom: "exercise" | "student" | "file";
  /** Where the student expected the tone to fall, stops from middle grey; null where nothing was predicted. */
  readonly predictedStops: number | null;
  /** The row that the page showed, as `tonefall grade -f json` writes it; null where only the file was checked. */
  readonly row: FrameResult | null;
}

/** Whether a text is a slip, judged by its beginning. */
export function beginsSlip(text: string): boolean {
  return /^\uFEFF?\s*\{\s*"slip"\s*:/.test(text);
}
