import { z } from "zod";
import { readyBrief } from "../brief/brief.ts";
import type { Flag, MarkedFrame } from "../model/markedClass.ts";
import type { FrameResult } from "../model/result.ts";
import { sameName } from "../model/sameName.ts";
import type { SlipFrame } from "../model/slip.ts";
import { stopsText } from "../model/words.ts";
import { emptyRow } from "../run/emptyRow.ts";
import type { ReadyTask } from "./classFile.ts";
import type { HandedSlip } from "./handIn.ts";

/** A page and this command measure alike within this, stops: what is more is another picture, region or version. */
const ALIKE_STOPS = 0.01;

const stops = z.number().min(-50).max(50);
const share = z.number().min(0).max(50);
const bound = z.enum(["at least", "at most"]).nullable();
const parts = z.record(z.string(), share);

/** What of a slip's row is believed; a slip is not signed, and may hold anything. */
const believedSchema = z.object({
  basis: z.enum(["settings", "rendered", "scene"]).nullable(),
  verdict: z.enum(["over", "under", "within", "undecided"]).nullable(),
  fall: z
    .object({
      ...{ stops, median: stops, p5: stops, p95: stops, bound },
      ...{ uncertainty: share, uncertaintyParts: parts },
    })
    .nullable(),
  error: z
    .object({
      ...{ stops, median: stops, bound, uncertainty: share, uncertaintyParts: parts },
      decidedBy: z.enum(["mean", "median"]),
    })
    .nullable(),
});

/** The frames of slips that answer a task, each with the slip's file. */
export function slipFramesOf(
  slips: readonly HandedSlip[],
  task: ReadyTask,
): readonly { readonly file: string; readonly frame: SlipFrame }[] {
  return slips.flatMap(({ file, frames }) =>
    frames.filter((frame) => sameName(frame.task, task.id)).map((frame) => ({ file, frame })),
  );
}

/** A row from a slip whose picture was not handed in: its figures alone, without words or settings; null where it has none. */
export function rowOfSlip({ row }: SlipFrame, file: string, task: ReadyTask): FrameResult | null {
  const believed = believedSchema.safeParse(row);
  if (!believed.success) return null;
  const { basis, verdict, fall, error } = believed.data;
  const read = {
    ...{ file, format: null, exposure: null, givenExposure: null, failure: null },
    notes: [
      {
        code: "from-slip" as const,
        message: "From the student's slip, which is not signed; the picture was not handed in.",
      },
    ],
  };
  return { ...emptyRow(read, readyBrief(task.brief)), basis, verdict, fall, error };
}

/** Where a slip and the pictures beside it disagree. */
export function slipFlags(
  student: string,
  task: ReadyTask,
  slips: readonly HandedSlip[],
  frames: readonly MarkedFrame[],
): readonly Flag[] {
  const pictures = frames.filter(({ from }) => from === "picture");
  return slipFramesOf(slips, task).flatMap(({ file, frame }): Flag[] => {
    const flag = (picture: string, message: string, evidence: string): Flag => ({
      code: "slip-disagrees",
      students: [student],
      files: [picture, file],
      task: task.id,
      message,
      evidence: [{ code: "slip", message: evidence }],
    });
    const same = pictures.find(({ sha256 }) => sha256 === frame.sha256);
    if (same) {
      const differs = difference(same.row, frame.row);
      return differs === null
        ? []
        : [flag(same.file, `The slip and ${same.file} do not say the same.`, differs)];
    }
    const [other] = pictures;
    if (!other || pictures.length < task.frames) return [];
    return [
      flag(
        other.file,
        `The slip is of another file than the pictures that were handed in for ${task.id}.`,
        `The slip names SHA-256 ${frame.sha256.slice(0, 12)}…, which none of the pictures has.`,
      ),
    ];
  });
}

function difference(row: FrameResult, claimed: FrameResult | null): string | null {
  const believed = believedSchema.safeParse(claimed);
  // A page that checks completeness alone gives no row.
  if (claimed === null) return null;
  if (!believed.success) return "The slip's row cannot be read.";
  const { verdict, fall } = believed.data;
  if (fall && row.fall && Math.abs(fall.stops - row.fall.stops) > ALIKE_STOPS) {
    return `The slip says that the tone fell at ${stopsText(fall.stops)}; the picture shows ${stopsText(row.fall.stops)}.`;
  }
  if (verdict !== row.verdict) {
    return `The slip's verdict is ${verdict ?? "none"}; the picture's is ${row.verdict ?? "none"}.`;
  }
  return null;
}
