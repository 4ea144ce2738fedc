import { parseRegion } from "@tonefall/tone-core";
import { readyBrief } from "../brief/brief.ts";
import { hashOf } from "../run/memory/contentOf.ts";
import type { ReadyTask } from "./classFile.ts";
import type { HandedSlip, HandIn } from "./handIn.ts";
import { slipFramesOf } from "./slipFrames.ts";

/**
 * The subject that the student marked in a picture on a hand-in page, as a region; null where the task names one itself, or no
 * slip of the student is of this picture.
 */
export async function regionOfSlip(
  { path, student, exercise }: HandIn,
  task: ReadyTask,
  slips: readonly HandedSlip[],
): Promise<string | null> {
  if (readyBrief(task.brief).regionGiven) return null;
  const own = slips.filter((slip) => slip.student === student && slip.exercise === exercise);
  const marked = slipFramesOf(own, task)
    .map(({ frame }) => frame)
    .filter(({ regionFrom, region }) => regionFrom === "student" && isRegion(region));
  if (marked.length === 0) return null;
  const sha256 = await hashOf(path).catch(() => null);
  return marked.find((frame) => frame.sha256 === sha256)?.region ?? null;
}

/** A slip may hold anything. */
function isRegion(text: string | null): boolean {
  try {
    return text !== null && parseRegion(text) !== null;
  } catch {
    return false;
  }
}
