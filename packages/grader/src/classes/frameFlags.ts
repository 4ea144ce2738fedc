import { editTrace } from "../judge/trace/editTrace.ts";
import { madeFrameOf } from "../model/madeFrame.ts";
import type { Flag, FlagCode, Remark } from "../model/markedClass.ts";
import type { Exposure, FrameResult } from "../model/result.ts";
import { decidedText } from "../model/words.ts";

/** A frame that counts, as its flags need it. */
export interface FlaggedFrame {
  readonly student: string;
  readonly task: string;
  readonly file: string;
  readonly row: FrameResult;
}

/** What usually writes the files of each camera in the class. */
export type UsualSoftware = ReadonlyMap<string, string | null>;

/** A camera with fewer frames has no usual software. */
const LEAST_FRAMES = 3;

/** Make and model of the camera, as one text; null where the file records neither. */
export function cameraOf(exposure: Exposure | null): string | null {
  const parts = [exposure?.make.value, exposure?.model.value].filter((part) => part);
  return parts.length > 0 ? parts.join(" ") : null;
}

/** What over half of each camera's files name as the software that wrote them. */
export function usualSoftware(rows: readonly FrameResult[]): UsualSoftware {
  const byCamera = new Map<string, (string | null)[]>();
  for (const { exposure } of rows) {
    const camera = cameraOf(exposure);
    if (camera === null || !exposure) continue;
    byCamera.set(camera, [...(byCamera.get(camera) ?? []), exposure.software.value]);
  }
  const usual = new Map<string, string | null>();
  for (const [camera, written] of byCamera) {
    const common = written.find(
      (software) => 2 * written.filter((other) => other === software).length > written.length,
    );
    if (common !== undefined && written.length >= LEAST_FRAMES) usual.set(camera, common);
  }
  return usual;
}

/** What a teacher should look at in one frame by itself. */
export function frameFlags(frame: FlaggedFrame, usual: UsualSoftware): readonly Flag[] {
  const { row } = frame;
  const { failure, exposure, verdict, causes } = row;
  const flag = (code: FlagCode, message: string, evidence: readonly Remark[]): Flag => ({
    code,
    students: [frame.student],
    files: [frame.file],
    task: frame.task,
    message,
    evidence,
  });
  if (failure) return [flag("unreadable", `${frame.file} could not be read.`, [failure])];
  const flags: Flag[] = [];
  if (exposure && isStripped(exposure)) {
    flags.push(
      flag(
        "metadata-stripped",
        `${frame.file} has lost its metadata, as messaging programs leave it: ask for the original.`,
        [{ code: "no-settings", message: "No aperture, time, ISO, camera or date is recorded." }],
      ),
    );
  }
  const made = exposure && madeFrameOf(exposure);
  if (made) {
    flags.push(
      flag(
        "made-frame",
        `${frame.file} was made from a capture, for teaching: it is not a hand-in.`,
        [{ code: "software", message: `It was written by "${made.software}".` }],
      ),
    );
  }
  const trace = exposure && !made && editEvidence(exposure, row.picture, usual);
  if (trace) flags.push(flag("edited", `${frame.file} was changed after it was taken.`, [trace]));
  const toned = causes.find(({ code }) => code === "settings-and-tones-disagree");
  if (toned) {
    flags.push(
      flag(
        "settings-disagree",
        `The settings and the tones of ${frame.file} do not fit each other: a helper in the camera, or an edit, may have toned it.`,
        toned.evidence.map(({ code, message }) => ({ code, message })),
      ),
    );
  }
  if (verdict === "undecided" && row.error) {
    flags.push(
      flag("cannot-tell", `Cannot tell whether ${frame.file} is within its tolerance.`, [
        {
          code: "error",
          message: `The error is ${decidedText(row.error)}, the tolerance ${row.tolerance?.toFixed(2) ?? "unknown"}, the uncertainty ${row.error.uncertainty.toFixed(2)} stop.`,
        },
      ]),
    );
  }
  return flags;
}

function isStripped(exposure: Exposure): boolean {
  const { aperture, shutter, iso, make, model, capturedAt } = exposure;
  return [aperture, shutter, iso, make, model, capturedAt].every(({ value }) => value === null);
}

function editEvidence(
  exposure: Exposure,
  picture: FrameResult["picture"],
  usual: UsualSoftware,
): Remark | null {
  const trace = editTrace(exposure, picture, undefined);
  if (trace) return { code: trace.code, message: `It ${trace.what}.` };
  const camera = cameraOf(exposure);
  const software = exposure.software.value;
  if (camera === null || software === null || !usual.has(camera)) return null;
  const common = usual.get(camera) ?? null;
  if (software === common) return null;
  const others = common === null ? "name no software" : `were written by "${common}"`;
  return {
    code: "edit-trace",
    message: `It was written by "${software}"; most pictures of this camera ${others}.`,
  };
}
