import type { Brief } from "../brief/brief.ts";
import { lightSanity } from "../judge/metering/lightSanity.ts";
import type { SpotSettings } from "../judge/metering/meterZones.ts";
import { GraderError } from "../model/errors.ts";
import { requireSeveral } from "../model/requireSeveral.ts";
import type { FrameResult } from "../model/result.ts";
import type { Source } from "../picture/source/openSource.ts";
import { gradeFrame } from "./gradeFrame.ts";
import { type BriefFor, gradeFrames, type RunOptions } from "./gradeFrames.ts";
import type { GradeOptions } from "./gradeOptions.ts";

/** A graded frame with what every metering pattern reads in it, and what light its settings suit. */
export type MeterResult = FrameResult & Required<Pick<FrameResult, "readings" | "light">>;

/** How frames are metered, apart from their briefs. */
export type MeterOptions = Omit<GradeOptions, "meter"> & SpotSettings;

/** How a run of metering goes over its frames. */
export type MeterRunOptions = Omit<RunOptions, "meter"> & SpotSettings;

/**
 * Meters one frame: what each pattern reads, and where the brief's region would have fallen had the camera followed it.
 * A brief that asks for a claim on the settings is metered on the frame's own basis, since a reading needs pixels.
 *
 * @param source - a path, a file URL or the bytes of a picture file
 * @param brief - as for {@link gradeFrame}
 * @throws {@link GraderError} as {@link gradeFrame} when the brief is wrong, `bad-option` when the spot is; the
 *   reason of `options.signal` when it aborts. Nothing about the file makes it throw
 *
 * @example
 * ```ts
 * (await meterFrame("hull.jpg", { region: "spot" })).readings.find(({ pattern }) => pattern === "average");
 * ```
 */
export async function meterFrame(
  source: Source,
  brief: Brief = {},
  { spot, spotShare, ...rest }: MeterOptions = {},
): Promise<MeterResult> {
  return metered(
    await gradeFrame(source, onPixels(brief), { ...rest, meter: readySpot(spot, spotShare) }),
  );
}

/** {@link meterFrame} for many frames side by side, in the order of the sources, like {@link gradeFrames}. */
export async function* meterFrames(
  sources: Iterable<Source>,
  brief: BriefFor = {},
  { spot, spotShare, ...rest }: MeterRunOptions = {},
): AsyncGenerator<MeterResult> {
  requireSeveral(sources, "meterFrames");
  const briefOf = (source: Source, index: number): Brief =>
    onPixels(typeof brief === "function" ? brief(source, index) : brief);
  for await (const row of gradeFrames(sources, briefOf, {
    ...rest,
    meter: readySpot(spot, spotShare),
  }))
    yield metered(row);
}

function metered(row: FrameResult): MeterResult {
  const light = row.exposure && lightSanity(row.exposure);
  return { ...row, readings: row.readings ?? [], light };
}

function onPixels({ basis, ...brief }: Brief): Brief {
  return basis === undefined || basis === "settings" ? brief : { ...brief, basis };
}

function readySpot(spot: SpotSettings["spot"], spotShare: SpotSettings["spotShare"]): SpotSettings {
  if (spot && ![spot.x, spot.y].every((place) => place >= 0 && place <= 1)) {
    throw new GraderError(
      "bad-option",
      `Expected fractions of the upright picture from 0 to 1 for the spot but received ${spot.x},${spot.y}`,
    );
  }
  if (spotShare !== undefined && !(spotShare > 0 && spotShare <= 1)) {
    throw new GraderError(
      "bad-option",
      `Expected a share of the picture above 0 and up to 1 for the spot's size but received ${spotShare}`,
    );
  }
  return { ...(spot ? { spot } : {}), ...(spotShare === undefined ? {} : { spotShare }) };
}
