import type { Note } from "../../model/note.ts";
import type { FrameResult } from "../../model/result.ts";
import { sharedFolder } from "../../model/sharedFolder.ts";

/** How the frames of a run are named on its pages. */
export interface FrameNames {
  /** A row's name and folder, and the row as the page may show it. */
  shown(
    row: FrameResult,
    number: number,
  ): { readonly name: string; readonly folder: string; readonly row: FrameResult };
}

/**
 * Names by files below the folder that they share, or codes.
 *
 * @param files - all that are to come, in order, as rows name them
 * @param anonymous - codes stand for file and folder names everywhere, and the time of capture is left out
 */
export function frameNames(files: readonly string[], anonymous: boolean): FrameNames {
  if (anonymous) {
    const codeOf = new Map(files.map((file, i) => [file, frameCode(i + 1, files.length)]));
    return {
      shown: (row, number) => ({
        name: frameCode(number, files.length),
        folder: "",
        row: nameless(row, frameCode(number, files.length), codeOf),
      }),
    };
  }
  const shared = sharedFolder(files);
  return {
    shown: (row) => {
      const below = shared !== "" && row.file.startsWith(shared);
      const name = row.file.slice(below ? shared.length : row.file.lastIndexOf("/") + 1);
      return { name, folder: name.slice(0, name.lastIndexOf("/") + 1), row };
    },
  };
}

/** What stands for the name of a frame: `F001`. */
export function frameCode(number: number, frames: number): string {
  return `F${String(number).padStart(Math.max(3, String(frames).length), "0")}`;
}

/** A row without the names of files and the time of capture. */
export function nameless(
  row: FrameResult,
  code: string,
  codeOf: ReadonlyMap<string, string>,
): FrameResult {
  const other = (file: string): string => codeOf.get(file) ?? "another frame";
  return {
    ...row,
    file: code,
    exposure: row.exposure && {
      ...row.exposure,
      capturedAt: { value: null, reason: "absent" },
    },
    ...(row.pair
      ? { pair: { ...row.pair, raw: other(row.pair.raw), rendered: other(row.pair.rendered) } }
      : {}),
    notes: row.notes.map((note) => namelessNote(note, row)),
    failure: row.failure && namelessNote(row.failure, row),
    ...(row.kit ? { kit: { ...row.kit, file: "a kit" } } : {}),
  };
}

/** What stands for the notes that name a file, by their code. */
const NAMELESS_NOTES: Readonly<Record<string, (row: FrameResult) => string>> = {
  "kit-refused": () =>
    "No kit is used: those at hand were measured with another camera, style or software.",
  "kit-other-iso": ({ exposure }) =>
    `The kit was not measured at the frame's ISO ${exposure?.iso.value ?? "setting"}; cameras may put middle grey elsewhere there.`,
};

function namelessNote(note: Note, row: FrameResult): Note {
  const message = NAMELESS_NOTES[note.code]?.(row);
  return message === undefined ? note : { ...note, message };
}
