import type { ReadyBrief } from "../brief/brief.ts";
import { taggedBrief } from "../brief/taggedBrief.ts";
import { gradeBySettings } from "../judge/grade/gradeBySettings.ts";
import { gradeMeasured } from "../judge/grade/gradeMeasured.ts";
import { type MeasureOptions, measureClaim } from "../judge/grade/measureClaim.ts";
import { likenessOf } from "../judge/measure/likeness.ts";
import { chooseKit } from "../kit/chooseKit.ts";
import { showThroughKit } from "../kit/showThroughKit.ts";
import type { Exposure, FrameResult, ReadResult } from "../model/result.ts";
import type { Frame } from "../picture/frame.ts";
import { asFailure } from "./asFailure.ts";
import { emptyRow } from "./emptyRow.ts";
import type { JudgingOptions } from "./judgingOptions.ts";

/** How a picture is decoded for its grading; undefined is the decoder's own default. */
export interface Decoding {
  readonly quick: boolean;
  readonly middleGrey: number | undefined;
  readonly gamma: number | undefined;
}

/** A picture that can be decoded. */
export interface DecodableFile {
  /** A path, or bytes, for whoever looks at the frame. */
  readonly input: string | Uint8Array;
  /** Decodes the picture, hands it to work, and frees its memory when the work is done. */
  readonly withDecoded: <T>(decoding: Decoding, work: (frame: Frame) => Promise<T>) => Promise<T>;
}

/**
 * Grades a frame whose record has been read, wherever its file lies and whatever decodes it: the row by itself, before the
 * other rows of a run explain it.
 *
 * Nothing about the file makes it throw: what cannot be graded becomes a result with a `failure`.
 *
 * @param read - the row so far
 * @param brief - its texts have been read
 * @param file - null where the file could not be read
 */
export async function gradeRead(
  read: ReadResult,
  brief: ReadyBrief,
  file: DecodableFile | null,
  options: JudgingOptions,
): Promise<FrameResult> {
  let row = emptyRow(read, brief);
  const { exposure } = read;
  if (!file || !exposure) return row;
  try {
    const tagged = taggedBrief(brief, exposure);
    row = emptyRow({ ...read, notes: [...read.notes, ...tagged.notes] }, tagged.brief);
    const settingsAlone = tagged.brief.basis === "settings";
    if (settingsAlone && !options.meter) return gradeBySettings(row, exposure);
    // A reading needs pixels, whatever the picture's own keywords ask for.
    const onPixels = settingsAlone ? { ...tagged.brief, basis: null } : tagged.brief;
    return await gradeByPixels(row, file, { exposure, brief: onPixels }, options);
  } catch (error) {
    return { ...row, failure: asFailure(error) };
  }
}

/** Decodes a frame, shows it through its kit, measures it, lets somebody look, and judges it. */
function gradeByPixels(
  row: FrameResult,
  file: DecodableFile,
  { exposure, brief }: { readonly exposure: Exposure; readonly brief: ReadyBrief },
  options: JudgingOptions,
): Promise<FrameResult> {
  const kit = chooseKit(options.kits ?? [], exposure);
  const measuring = measureOptions(options);
  const decoding = {
    quick: measuring.precision === "quick",
    middleGrey: options.middleGrey ?? kit.chosen?.kit.middleGrey?.sensor?.shareOfSaturation,
    gamma: brief.transfer?.gamma,
  };
  return file.withDecoded(decoding, async (decoded) => {
    const shown = showThroughKit(decoded, kit, brief.basis);
    const bare = measureClaim(row, shown, { exposure, brief }, measuring);
    const likeness = options.likeness ? { likeness: likenessOf(decoded) } : {};
    const measured = { ...bare, row: { ...bare.row, ...likeness } };
    const { frame, region } = measured;
    await options.look?.({ frame, row: measured.row, region, input: file.input });
    return gradeMeasured(measured, options.meter ?? null);
  });
}

/** Histograms, and whoever looks at a frame, need every pixel. */
function measureOptions({ histograms = false, look, precision }: JudgingOptions): MeasureOptions {
  const whole = histograms || look !== undefined;
  return { histograms, precision: whole ? "exact" : (precision ?? "standard") };
}
