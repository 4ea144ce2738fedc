import type { ReadResult } from "../model/result.ts";
import { safeText, settingsText } from "../model/words.ts";

/** A picture and its path from the brief file's folder, with forward slashes. */
export interface BriefedFile {
  readonly file: string;
  readonly row: Pick<ReadResult, "exposure" | "failure">;
}

/**
 * A first brief file for a folder's pictures, which works as it is: every frame is measured, and none is judged until the
 * author says where its tone belongs. A commented line is ready for each picture.
 *
 * @param command - that uses the file, for its heading
 */
export function proposeBrief(files: readonly BriefedFile[], command: string): string {
  const readable = files.filter(({ row }) => row.failure === null);
  const lines = readable.map(({ file, row }) => ({ glob: quoted(file), said: recorded(row) }));
  const width = Math.min(40, Math.max(0, ...lines.map(({ glob }) => glob.length)));
  return [
    "# What each picture was asked to show. This file works as it is:",
    `#   ${command}`,
    "#",
    "# Each line has a pattern for files, then what was asked of them. All lines that match a file apply;",
    "# a later one overrides an earlier one key by key. The keys:",
    '#   place      where the subject\'s tone belongs: snow, tar, -2, "+1 2/3", 1.5..2.3, 36%, VI',
    "#              (tonefall tones lists the named tones)",
    '#   region     the subject: whole, spot, partial, or "box:0.3,0.3,0.4,0.4" in quotes:',
    "#              left, top, width and height as fractions of the upright picture",
    "#   tolerance  how far the tone may miss, in stops: 1/3",
    "#   basis      rendered (what the picture shows), scene (light) or settings",
    "",
    '"**": { region: spot, tolerance: 1/3 }',
    "",
    "# Delete the # in front of a picture and replace middle-grey with the tone of its subject.",
    ...lines.map(
      ({ glob, said }) => `# ${`${glob}:`.padEnd(width + 1)} { place: middle-grey }${said}`,
    ),
    "",
  ].join("\n");
}

function recorded({ exposure }: BriefedFile["row"]): string {
  const settings = settingsText(exposure);
  return /\d/.test(settings) ? `  # ${settings}` : "";
}

/** The pattern that matches one file, in quotes, with the special characters of patterns escaped. */
function quoted(file: string): string {
  return JSON.stringify(safeText(file).replace(/[\\*?[\](){}!+@|^$]/g, "\\$&"));
}
