import { type RegionStatistics, regionText, SHOULDER_STOPS, swapsSides } from "@tonefall/tone-core";
import type { ReadyBrief } from "../brief/brief.ts";
import { taggedBrief } from "../brief/taggedBrief.ts";
import { defaultTolerance } from "../judge/grade/defaultTolerance.ts";
import { fallOf, MEDIAN_STANDS_SHARE } from "../judge/grade/fallOf.ts";
import { frameNotes } from "../judge/grade/frameNotes.ts";
import { judge } from "../judge/grade/judge.ts";
import { isOnShoulder, sceneFall } from "../judge/grade/sceneFall.ts";
import { isComposite, settingsFall } from "../judge/grade/settingsFall.ts";
import { type Uncertainty, uncertaintyOf, withSampling } from "../judge/grade/uncertaintyOf.ts";
import { measureFrame } from "../judge/measure/measureFrame.ts";
import { sensorReading } from "../judge/measure/sensorReading.ts";
import { taggedRegion } from "../judge/measure/taggedRegion.ts";
import { withMetering } from "../judge/metering/withMetering.ts";
import { kitFor } from "../kit/kitFor.ts";
import type { Note } from "../model/note.ts";
import type { Precision } from "../model/precision.ts";
import type { Basis, Exposure, Fall, FrameResult, KnownFall } from "../model/result.ts";
import { limitsIn } from "../picture/decodeLimits.ts";
import { decodePicture } from "../picture/decodePicture.ts";
import type { Frame } from "../picture/frame.ts";
import { FrameMemory } from "../picture/frameMemory.ts";
import { letGo } from "../picture/letGo.ts";
import type { PictureFile, Source } from "../picture/source/openSource.ts";
import { asFailure } from "./asFailure.ts";
import { emptyRow } from "./emptyRow.ts";
import type { GradeOptions } from "./gradeOptions.ts";
import { type ReadFile, readFile } from "./readFile.ts";

/**
 * Grades one frame by itself, from its file: the row that memories keep, before it is told from others'.
 *
 * Nothing about the file makes it throw: what cannot be read becomes a result with a `failure`.
 *
 * @param brief - its texts have been read
 */
export async function gradeAnew(
  source: Source,
  brief: ReadyBrief,
  options: GradeOptions,
): Promise<FrameResult> {
  const { result: read, file, record } = await readFile(source, options.name, limitsIn(options));
  let row = emptyRow(read, brief);
  const { exposure } = read;
  if (!file || !record || !exposure) return row;
  try {
    const tagged = taggedBrief(brief, exposure);
    row = emptyRow({ ...read, notes: [...read.notes, ...tagged.notes] }, tagged.brief);
    if (tagged.brief.basis !== "settings") {
      return await gradePicture(row, { file, record, exposure }, tagged.brief, options);
    }
    if (!options.meter) return gradeSettings(row, tagged.brief, exposure);
    // A reading needs pixels, whatever the picture's own keywords ask for.
    const onPixels = { ...tagged.brief, basis: null };
    return await gradePicture(row, { file, record, exposure }, onPixels, options);
  } catch (error) {
    return { ...row, failure: asFailure(error) };
  }
}

/** Memory of raw frames that nobody but their grading reads. */
const FRAME_MEMORY = new FrameMemory();

/** What a decoded frame is graded by, beside its brief. */
interface ShotFrame {
  readonly file: PictureFile;
  readonly exposure: Exposure;
  readonly kit: ReturnType<typeof kitFor>;
}

async function gradePicture(
  row: FrameResult,
  { file, record, exposure }: ReadFile & { readonly exposure: Exposure },
  brief: ReadyBrief,
  options: GradeOptions,
): Promise<FrameResult> {
  const kit = kitFor(exposure, options.kits ?? []);
  const middleGrey = options.middleGrey ?? kit.sensor?.shareOfSaturation;
  const whole = options.histograms || options.look !== undefined;
  const precision = whole ? "exact" : (options.precision ?? "standard");
  // A frame that somebody looked at may be looked at still.
  const memory = options.look ? null : FRAME_MEMORY;
  const decoded = await decodePicture(file, record, {
    ...limitsIn(options),
    ...(middleGrey === undefined ? {} : { middleGrey }),
    ...(memory ? { memory } : {}),
    quick: precision === "quick",
    ...(brief.transfer ? { gamma: brief.transfer.gamma } : {}),
  });
  try {
    return await gradeDecoded(row, decoded, { file, exposure, kit }, brief, {
      ...options,
      precision,
    });
  } finally {
    if (memory && decoded.sensor) memory.giveBack(decoded.samples.buffer as ArrayBuffer);
    else if (memory) letGo(decoded.samples);
  }
}

async function gradeDecoded(
  row: FrameResult,
  decoded: Frame,
  { file, exposure, kit }: ShotFrame,
  brief: ReadyBrief,
  options: GradeOptions & { readonly precision: Precision },
): Promise<FrameResult> {
  const view = brief.basis === "rendered" ? null : kit.view(decoded);
  const frame = view?.frame ?? decoded;
  const { precision } = options;
  const { region, note } = brief.region
    ? { region: brief.region, note: null }
    : taggedRegion(brief.regionText, exposure, frame);
  const wanted = { histograms: options.histograms ?? false, precision };
  const { statistics, histograms, pixels, sampling } = measureFrame(frame, region, wanted);
  // A raw file has no rendering: whatever was asked, its stops are stops on the sensor.
  const basis: Basis =
    frame.basis === "scene" ? "scene" : (brief.basis ?? (view ? "scene" : "rendered"));
  const measured = fallOf(statistics, frame);
  const byCurve = view?.byCurve ?? false;
  const guessed = basis === "scene" && frame.basis === "rendered" && !byCurve;
  const fall = guessed ? sceneFall(measured) : measured;
  const placement = brief.placement;
  const notes = [
    ...row.notes,
    ...(note ? [note] : []),
    ...frame.notes,
    ...frameNotes({ frame, statistics, fall: measured, placement, basis, exposure, byCurve }),
    ...(guessed && measured.stops > SHOULDER_STOPS ? [ON_THE_SHOULDER] : []),
    ...kit.notesOn(frame, view, fall),
    ...(precision === "quick" && !frame.sampledFrom ? [DECODED_WHOLE] : []),
  ];
  if (brief.basis === "rendered" && frame.basis === "scene") {
    notes.push({
      code: "raw-has-no-rendering",
      message:
        "The brief asks for a rendered claim, but a raw file has no rendering; it is graded on the scene basis.",
    });
  }
  const known = kit.knowledge(frame, view, fall);
  const tolerance = brief.tolerance ?? known?.tolerance ?? defaultTolerance(basis, frame.basis);
  const wholly = uncertaintyOf(fall, basis, frame, known);
  const uncertainty = sampling?.precision === "quick" ? withSampling(wholly, pixels) : wholly;
  const result: FrameResult = {
    ...row,
    basis,
    picture: describe(frame),
    region: regionText(region),
    pixels,
    tolerance,
    fall: knownFall(fall, uncertainty),
    clipped: statistics.clipped,
    crushed: statistics.crushed,
    sampling,
    notes,
    ...(histograms ? { histograms } : {}),
    sensor: sensorReading(frame, region, wanted, known?.middleGrey),
    ...(known ? { kit: known.row } : {}),
  };
  await options.look?.({ frame, row: result, region, input: file.input });
  const meter = options.meter ?? null;
  if (basis === "scene" && frame.basis === "rendered" && isComposite(exposure)) {
    const verdict = placement ? "undecided" : null;
    return withMetering({ ...result, fall: null, verdict }, frame, meter);
  }
  const censored = guessed && isOnShoulder(measured) ? 1 : beyondScale(fall, statistics);
  const graded = withVerdict(result, { placement, tolerance, censored });
  return withMetering(graded, frame, meter);
}

/** Share of a region beyond the end of the scale that its bound speaks of. */
function beyondScale({ bound }: Fall, { clipped, crushed }: RegionStatistics): number {
  return bound === "at most" ? crushed.share : clipped.share;
}

function gradeSettings(row: FrameResult, brief: ReadyBrief, exposure: Exposure): FrameResult {
  const { fall, notes } = settingsFall(exposure);
  const tolerance = brief.tolerance ?? defaultTolerance("settings", null);
  const result: FrameResult = {
    ...row,
    basis: "settings",
    // The settings know no region: they speak of whatever the meter looked at.
    region: null,
    tolerance,
    fall: fall && knownFall(fall, uncertaintyOf(fall, "settings", null)),
    notes: [...row.notes, ...notes],
  };
  const { placement } = brief;
  if (placement && !fall) return { ...result, verdict: "undecided" };
  return withVerdict(result, { placement, tolerance, censored: 0 });
}

function knownFall(fall: Fall, { total, parts }: Uncertainty): KnownFall {
  return { ...fall, uncertainty: total, uncertaintyParts: parts };
}

/** A measured row with its error and verdict, where it has a placement and a fall. */
function withVerdict(
  result: FrameResult,
  claim: {
    readonly placement: ReadyBrief["placement"];
    readonly tolerance: number;
    /** Share of the region beyond the end of the scale that the fall's bound speaks of. */
    readonly censored: number;
  },
): FrameResult {
  const { placement, tolerance, censored } = claim;
  const { fall } = result;
  if (!placement || !fall) return result;
  const uncertainty = { total: fall.uncertainty, parts: fall.uncertaintyParts };
  const { error, verdict, apart } = judge(fall, placement, tolerance, uncertainty, censored);
  const notes = [
    ...(error.decidedBy === "median" ? [JUDGED_BY_MEDIAN] : []),
    ...(apart ? [MEAN_AND_MEDIAN_APART] : []),
  ];
  return { ...result, error, verdict, notes: [...result.notes, ...notes] };
}

const ON_THE_SHOULDER: Note = {
  code: "scene-light-is-bound",
  message:
    "The tone lies where tone curves flatten, so the picture shows only the least light that it can have had.",
};

const DECODED_WHOLE: Note = {
  code: "quick-not-used",
  message:
    "Only JPEGs of 4 megapixels and more are decoded quickly; this picture was decoded whole, at standard precision.",
};

const JUDGED_BY_MEDIAN: Note = {
  code: "judged-by-median",
  message: `The mean is only a bound; the verdict rests on the median, which stands while under ${100 * MEDIAN_STANDS_SHARE} % of the region is beyond the end of the scale.`,
};

const MEAN_AND_MEDIAN_APART: Note = {
  code: "mean-and-median-apart",
  message:
    "The mean is only a bound, and the median lies on the other side of the placement: the verdict is left open. Choose a region of one tone.",
};

function describe(frame: Frame): NonNullable<FrameResult["picture"]> {
  const turned = swapsSides(frame.orientation);
  const { width, height } = frame.sampledFrom ?? frame;
  return {
    width: turned ? height : width,
    height: turned ? width : height,
    bits: frame.bits,
    colour: frame.colour.description,
    colourFrom: frame.colour.from,
    middleGrey: frame.middleGrey,
    ...(frame.scaleEnd ? { scaleEnd: { ...frame.scaleEnd, luminance: endLuminance(frame) } } : {}),
  };
}

/** Luminance of a pixel at the end of the file's scale in every channel. */
function endLuminance({ channels }: Frame): number {
  return channels.reduce(
    (sum, { luminance, clipCode }) => sum + (luminance[clipCode] as number),
    0,
  );
}
