import type { ChosenFrame } from "./chosenFrame.ts";

/** A picture that was chosen, without the picture: by its file it is known when it is chosen again. */
interface KeptFrame extends Pick<ChosenFrame, "region" | "predictedStops"> {
  /** Its task's name. */
  readonly task: string;
  /** Of its file. */
  readonly name: string;
  /** Of its file, hexadecimal; null where it was not measured yet. */
  readonly sha256: string | null;
}

/** A tab's memory of one exercise. */
export interface TabMemory {
  /** The student's code before the page was loaded again; empty where there was none. */
  readonly code: string;
  /** Pictures of before that are not chosen again yet. */
  readonly wanted: readonly KeptFrame[];
  /** Takes from those that are wanted the one that was chosen again, if it was. */
  take(frame: ChosenFrame): KeptFrame | null;
  keep(code: string, frames: readonly ChosenFrame[]): void;
}

/** What is kept: the student's code, and what was done with every picture. */
interface Kept {
  readonly code: string;
  readonly frames: readonly KeptFrame[];
}

/**
 * Keeps a student's work while the page is loaded again, as phones do without asking. It ends with the tab, and holds no
 * picture: a page cannot open a file anew.
 *
 * @param exercise - SHA-256 of the exercise: pages of others do not read it
 */
export function tabMemory(exercise: string): TabMemory {
  const key = `tonefall-${exercise}`;
  const { code, frames } = read(key);
  const wanted = [...frames];
  return {
    code,
    wanted,
    take: ({ task, file, graded }) => {
      const at = wanted.findIndex(
        (kept) =>
          kept.task === task.name &&
          (kept.sha256 === null ? kept.name === file.name : kept.sha256 === graded?.sha256),
      );
      return at < 0 ? null : (wanted.splice(at, 1)[0] ?? null);
    },
    keep: (code, frames) => {
      const kept: Kept = { code, frames: [...frames.map(keptFrame), ...wanted] };
      try {
        sessionStorage.setItem(key, JSON.stringify(kept));
      } catch {
        // The browser keeps nothing for this page: then nothing comes back.
      }
    },
  };
}

function read(key: string): Kept {
  try {
    const kept = JSON.parse(sessionStorage.getItem(key) ?? "null") as Kept | null;
    if (kept) return kept;
  } catch {
    // As in a new tab.
  }
  return { code: "", frames: [] };
}

function keptFrame({ task, file, graded, region, predictedStops }: ChosenFrame): KeptFrame {
  const sha256 = graded?.sha256 ?? null;
  return { task: task.name, name: file.name, sha256, region, predictedStops };
}
