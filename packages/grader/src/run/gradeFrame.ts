import { type Brief, type ReadyBrief, readyBrief } from "../brief/brief.ts";
import type { FrameResult } from "../model/result.ts";
import { pathOf, type Source } from "../picture/source/openSource.ts";
import { readBlob } from "../picture/source/readBytes.ts";
import { asFailure } from "./asFailure.ts";
import { blobName } from "./blobName.ts";
import { emptyRow } from "./emptyRow.ts";
import { explain } from "./explain.ts";
import type { GradeOptions } from "./gradeOptions.ts";
import { claimDigest } from "./memory/claimDigest.ts";
import { throughMemory } from "./memory/rowMemory.ts";
import { sourceName } from "./readFile.ts";
import { untilAborted } from "./untilAborted.ts";

/**
 * Grades one frame: where its subject's tone fell, against where it was meant to be placed, in stops.
 *
 * Nothing about the file makes it throw: what cannot be read becomes a result with a `failure`.
 *
 * @param source - a path, a file URL, a Blob (a `File`, for one) or the bytes of a picture file
 * @param brief - what the frame was asked to show; without a placement it is measured and not judged
 * @throws {@link GraderError} `bad-brief`, `bad-place`, `bad-region`, `bad-tolerance`, `bad-basis` or `bad-transfer` when the
 *   brief is wrong;
 *   `bad-option` when the source is none of these; the reason of `options.signal` when it aborts
 *
 * @example
 * ```ts
 * const { fall, error, verdict } = await gradeFrame("snow.jpg", { place: "snow", region: "spot" });
 * ```
 */
export async function gradeFrame(
  source: Source | Blob,
  brief: Brief = {},
  options: GradeOptions = {},
): Promise<FrameResult> {
  const asked = readyBrief(brief);
  const row = await untilAborted(options.signal, () =>
    source instanceof Blob
      ? gradeBlob(source, asked, options)
      : recallOrGrade(source, asked, options),
  );
  return explain(row, [], options.voice);
}

/** A Blob is read once, and its bytes are graded in this process. */
async function gradeBlob(
  blob: Blob,
  brief: ReadyBrief,
  options: GradeOptions,
): Promise<FrameResult> {
  const name = options.name ?? blobName(blob) ?? "(bytes)";
  const bytes = await readBlob(blob).catch(asFailure);
  if (bytes instanceof Uint8Array) return recallOrGrade(bytes, brief, { ...options, name });
  const unread = { file: name, format: null, exposure: null, givenExposure: null, notes: [] };
  return emptyRow({ ...unread, failure: bytes }, brief);
}

/** One frame's row from the first memory that has it, otherwise graded; its causes are found later, from the whole run. */
export async function recallOrGrade(
  source: Source,
  brief: ReadyBrief,
  options: GradeOptions,
  grade = (): Promise<FrameResult> => gradeHereOrApart(source, brief, options),
): Promise<FrameResult> {
  const { memory = [], look, name } = options;
  if (look || memory.length === 0) return grade();
  const known = { claim: claimDigest(brief, options), name: sourceName(source, name) };
  return throughMemory(memory, source, known, grade);
}

/** Grades one frame in this process or in one beside it; only the process that decodes loads the decoders. */
export async function gradeHereOrApart(
  source: Source,
  brief: ReadyBrief,
  options: GradeOptions,
): Promise<FrameResult> {
  if (options.processes && !options.look && !(source instanceof Uint8Array)) {
    const { gradeApart } = await import("./gradeApart.ts");
    return gradeApart(pathOf(source), brief, options);
  }
  const { gradeAnew } = await import("./gradeAnew.ts");
  return gradeAnew(source, brief, options);
}
