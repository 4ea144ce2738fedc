import { SCHEMA_VERSION } from "../../../model/result.ts";
import { SLIP_ABOUT, SLIP_VERSION, type Slip, type SlipFrame } from "../../../model/slip.ts";
import type { HandoutData } from "../handoutData.ts";
import type { ChosenFrame } from "./chosenFrame.ts";

/** The slip of what a student has chosen: pictures that are still at work are left out. */
export function slipOf(
  { exercise, exerciseSha256, tonefall, hideVerdict }: HandoutData,
  student: string,
  frames: readonly ChosenFrame[],
  savedAt: Date,
): Slip {
  return {
    slip: SLIP_VERSION,
    schemaVersion: SCHEMA_VERSION,
    signed: false,
    about: SLIP_ABOUT,
    exercise: exercise.name,
    exerciseSha256,
    student: student === "" ? null : student,
    savedAt: savedAt.toISOString(),
    tonefall,
    verdictHidden: hideVerdict,
    frames: frames.flatMap((frame) => slipFrame(frame, hideVerdict)),
  };
}

function slipFrame(frame: ChosenFrame, hideVerdict: boolean): SlipFrame[] {
  const { graded, task, file, region, predictedStops } = frame;
  if (!graded) return [];
  const { row, sha256 } = graded;
  const unmarked = task.regionOpen && region === null;
  return [
    {
      task: task.name,
      sha256,
      bytes: file.size,
      // Before the subject is marked, nothing of it is graded, whatever of the picture was measured.
      region: unmarked ? null : row.region,
      regionFrom: task.regionOpen ? "student" : "exercise",
      predictedStops,
      row: hideVerdict || unmarked ? null : row,
    },
  ];
}
