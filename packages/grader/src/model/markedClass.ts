import type { Bound, Verdict } from "@tonefall/tone-core";
import type { CauseCode } from "./cause.ts";
import type { Note } from "./note.ts";
import type { FrameResult } from "./result.ts";

/** What stands behind a finding about a hand-in: a stable code with a sentence, from a row, a cause or the class itself. */
export type Remark = Note<string>;

/** Version of the shape of a marked class; a change that breaks a reader raises it. */
export const MARKED_VERSION = 1;

/** A class and the exercises that were marked, oldest first. Students are known by their codes alone. */
export interface MarkedClass {
  /** {@link MARKED_VERSION}. */
  readonly schemaVersion: typeof MARKED_VERSION;
  /** The class's name. */
  readonly class: string;
  /** Codes, in the order of the class file. */
  readonly students: readonly string[];
  /** Names of the levels, the best first. */
  readonly levels: readonly string[];
  /** In the order of the term. */
  readonly exercises: readonly MarkedExercise[];
}

/** One exercise: what every student was asked, and what each handed in. */
export interface MarkedExercise {
  /** As in the class file. */
  readonly id: string;
  /** For people; null where the class file gives none. */
  readonly title: string | null;
  /** As the class file gives it; null where it gives none. */
  readonly due: string | null;
  /** In the order of the class file. */
  readonly tasks: readonly MarkedTask[];
  /** One for every student and task, students first, both in the order of the class file. */
  readonly rows: readonly MarkedRow[];
  /** Files that answer no task. */
  readonly unasked: readonly UnaskedFile[];
  /** What the teacher should look at first, each with its evidence; none of them accuses anyone. */
  readonly flags: readonly Flag[];
  /** Files and folders that belong to no student or exercise. Their paths may hold names, so they are left out. */
  readonly strays: readonly Remark[];
  /** Counts over the exercise. */
  readonly summary: MarkedSummary;
}

/** A file that a student handed in and that answers no task. */
export interface UnaskedFile {
  /** The student's code. */
  readonly student: string;
  /** As results show it. */
  readonly file: string;
}

/** What one task asks. */
export interface MarkedTask {
  /** As in the class file. */
  readonly id: string;
  /** For people; null where the class file gives none. */
  readonly title: string | null;
  /** The placement as it was typed; null where the task leaves it to the picture's keywords. */
  readonly place: string | null;
  /** The region in text form. */
  readonly region: string;
  /** Stops; null where the basis decides. */
  readonly tolerance: number | null;
  /** How many frames answer it. */
  readonly frames: number;
  /** Usual cautions where the task touches sun, flash, roads or water; empty for most. */
  readonly cautions: readonly string[];
}

/** What a student handed in for a task. */
export interface MarkedRow {
  /** The student's code. */
  readonly student: string;
  /** The task's ID. */
  readonly task: string;
  /** The frames that count, at most as many as the task asks. */
  readonly frames: readonly MarkedFrame[];
  /** How many frames are missing. */
  readonly missing: number;
  /** Files beyond those that the task asks for; not graded. */
  readonly surplus: readonly string[];
  /** The frame that stands for the task: the middle one by the size of its error. Null where none could be judged. */
  readonly shown: string | null;
  /** Its verdict; null without one. */
  readonly verdict: Verdict | null;
  /** Its error, stops; positive is lighter. Null without one. */
  readonly error: {
    /** The figure that the verdict rests on. */
    readonly stops: number;
    /** Whether the true error is at least or at most that; null where it is neither. */
    readonly bound: Bound | null;
  } | null;
  /** The best supported cause of its miss; null where it did not miss. */
  readonly cause: CauseCode | null;
  /** The level suggested by the class file's limits, or given by the teacher. */
  readonly level: MarkedLevel;
}

/** How a file was recognised as an answer to its task. */
export type RecognisedBy = "keyword" | "files" | "order" | "slip";

/** A frame that counts for a task. */
export interface MarkedFrame {
  /** Path from the folder of all hand-ins, with the student's code in place of a name. */
  readonly file: string;
  /** SHA-256 of the file's bytes, hexadecimal; null where it cannot be read. */
  readonly sha256: string | null;
  /** How it was recognised. */
  readonly by: RecognisedBy;
  /** The other file of a shot that the camera saved raw and rendered; it is not graded. Null where there is none. */
  readonly beside: string | null;
  /** Whether the row is of the picture, or of a slip whose picture was not handed in. */
  readonly from: "picture" | "slip";
  /** Whether its bytes differ from those that were marked before; null where it was not marked before. */
  readonly changed: boolean | null;
  /** By the time that the picture records. */
  readonly late: Lateness;
  /** The level that this frame alone reaches; null where that is not known. */
  readonly level: string | null;
  /** The graded row, with words for the student. */
  readonly row: FrameResult;
}

/** Whether a frame was taken after its exercise was due. */
export interface Lateness {
  /** Null where that is not known; the reason says why. */
  readonly late: boolean | null;
  /** By how many hours; null unless it is late. */
  readonly hours: number | null;
  /** Local time as the picture records it; null where it records none. */
  readonly capturedAt: string | null;
  /** `late`, `in-time`, `no-due-date`, `no-time-recorded` or `clock-in-doubt`. */
  readonly reason: Remark;
}

/** A level, and why. */
export interface MarkedLevel {
  /** The level that counts: the teacher's, or the suggested one. Null where there is none. */
  readonly level: string | null;
  /** What the class file's limits suggest; null where nothing can be suggested. */
  readonly suggested: string | null;
  /** Why this level is suggested, or why none is. */
  readonly reason: Remark;
  /** The teacher's level; null where there is none. */
  readonly override: {
    /** One of the class's levels. */
    readonly level: string;
    /** The teacher's words; null where there are none. */
    readonly why: string | null;
  } | null;
}

/** Kinds of what a teacher should look at; branch on these. */
export const FLAG_CODES = [
  "same-bytes",
  "same-picture",
  "same-moment",
  "other-exercise",
  "order-in-doubt",
  "changed-after-marking",
  "slip-disagrees",
  "edited",
  "made-frame",
  "metadata-stripped",
  "settings-disagree",
  "clock-differs",
  "cannot-tell",
  "unreadable",
] as const;

/** One of {@link FLAG_CODES}. */
export type FlagCode = (typeof FLAG_CODES)[number];

/** Something for the teacher's eyes: a fact, its evidence and what may explain it. */
export interface Flag {
  /** Branch on this. */
  readonly code: FlagCode;
  /** The students whose files it is about. */
  readonly students: readonly string[];
  /** Files that it is about, as results show them; of an earlier exercise too. */
  readonly files: readonly string[];
  /** The task of the first file; null where it answers none. */
  readonly task: string | null;
  /** One plain sentence: what was found. It accuses nobody. */
  readonly message: string;
  /** What the sentence rests on. */
  readonly evidence: readonly Remark[];
}

/** Counts over one exercise. */
export interface MarkedSummary {
  /** Rows: students times tasks. */
  readonly rows: number;
  /** Frames that count. */
  readonly frames: number;
  /** Rows by the level that counts. */
  readonly levels: Readonly<Record<string, number>>;
  /** Rows without a level. */
  readonly withoutLevel: number;
  /** Frames that are missing. */
  readonly missing: number;
  /** Files beyond those asked for. */
  readonly surplus: number;
  /** Frames taken after the exercise was due. */
  readonly late: number;
  /** Frames that could not be read. */
  readonly unreadable: number;
}
