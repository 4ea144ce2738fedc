import type { Voice } from "../../model/feedback.ts";
import { decidedText, messageText, outcomeText, safeText } from "../../model/words.ts";
import { paintVerdict, type TableBody, type TableRow } from "./frameTable.ts";
import { shortened } from "./shortened.ts";
import { grouped } from "./textTable.ts";
import { wrapped } from "./wrapped.ts";

const INDENT = "  ";

/** Grades in words: name and verdict on a line, the words across the width below, folder by folder. */
export function gradeWords({
  frames,
  names,
  folderOf,
  style,
  paint,
  voice,
}: TableBody & { readonly voice: Voice }): string[] {
  const folder = names.shared === "" ? "" : `: frames in ${safeText(names.shared)}`;
  const sections = [shortened(`Grades in words for the ${voice}${folder}`, style.width)];
  for (const [group, members] of grouped(frames, folderOf)) {
    if (group !== "") sections.push(style.heading(shortened(group, style.width)));
    for (const frame of members) {
      const name = group === "" ? names.whole(frame) : names.inFolder(frame);
      const verdict = verdictText(frame);
      const room = Math.max(LEAST_NAME, style.width - verdict.length - INDENT.length);
      const heading = `${style.heading(shortened(name, room))}${INDENT}${paintVerdict(frame.verdict, verdict, paint)}`;
      sections.push([heading, ...indented(wordsOf(frame), style.width)].join("\n"));
    }
  }
  const cautions = [...new Set(frames.flatMap(({ feedback }) => feedback?.cautions ?? []))];
  if (cautions.length > 0) {
    const lines = cautions.flatMap((caution) => indented(caution, style.width));
    sections.push([style.heading("Take care"), ...lines].join("\n"));
  }
  return sections;
}

const LEAST_NAME = 10;

/** What there is to say of a frame: its grade in words, or why it has none. */
function wordsOf({ feedback, failure }: TableRow): string {
  if (failure) return messageText(failure);
  return feedback?.text ?? "";
}

function verdictText(frame: TableRow): string {
  const { error } = frame;
  const missed = frame.verdict === "over" || frame.verdict === "under";
  return error && missed ? `${outcomeText(frame)} ${decidedText(error)}` : outcomeText(frame);
}

function indented(text: string, width: number): string[] {
  if (text === "") return [];
  return wrapped(safeText(text), width - INDENT.length)
    .split("\n")
    .map((line) => INDENT + line);
}
