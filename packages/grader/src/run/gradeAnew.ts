import type { ReadyBrief } from "../brief/brief.ts";
import { taggedBrief } from "../brief/taggedBrief.ts";
import { gradeBySettings } from "../judge/grade/gradeBySettings.ts";
import { gradeMeasured } from "../judge/grade/gradeMeasured.ts";
import { type MeasureOptions, measureClaim } from "../judge/grade/measureClaim.ts";
import { likenessOf } from "../judge/measure/likeness.ts";
import { chooseKit } from "../kit/chooseKit.ts";
import { showThroughKit } from "../kit/showThroughKit.ts";
import type { Exposure, FrameResult } from "../model/result.ts";
import { limitsIn } from "../picture/decodeLimits.ts";
import type { Source } from "../picture/source/openSource.ts";
import { asFailure } from "./asFailure.ts";
import { emptyRow } from "./emptyRow.ts";
import type { GradeOptions } from "./gradeOptions.ts";
import { type ReadFile, readFile } from "./readFile.ts";
import { withDecoded } from "./withDecoded.ts";

/**
 * Grades one frame by itself, from its file: the row that memories keep, before the other rows of a run explain it.
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
    const settingsAlone = tagged.brief.basis === "settings";
    if (settingsAlone && !options.meter) return gradeBySettings(row, exposure);
    // A reading needs pixels, whatever the picture's own keywords ask for.
    const onPixels = settingsAlone ? { ...tagged.brief, basis: null } : tagged.brief;
    return await gradeByPixels(row, { file, record, exposure }, onPixels, options);
  } catch (error) {
    return { ...row, failure: asFailure(error) };
  }
}

/** Decodes a frame, shows it through its kit, measures it, lets somebody look, and judges it. */
function gradeByPixels(
  row: FrameResult,
  { exposure, ...read }: ReadFile & { readonly exposure: Exposure },
  brief: ReadyBrief,
  options: GradeOptions,
): Promise<FrameResult> {
  const kit = chooseKit(options.kits ?? [], exposure);
  const measuring = measureOptions(options);
  const decoding = {
    quick: measuring.precision === "quick",
    middleGrey: options.middleGrey ?? kit.chosen?.kit.middleGrey?.sensor?.shareOfSaturation,
    gamma: brief.transfer?.gamma,
  };
  return withDecoded(read, options, decoding, async (decoded) => {
    const shown = showThroughKit(decoded, kit, brief.basis);
    const bare = measureClaim(row, shown, { exposure, brief }, measuring);
    const likeness = options.likeness ? { likeness: likenessOf(decoded) } : {};
    const measured = { ...bare, row: { ...bare.row, ...likeness } };
    const { frame, region } = measured;
    await options.look?.({ frame, row: measured.row, region, input: read.file.input });
    return gradeMeasured(measured, options.meter ?? null);
  });
}

/** Histograms, and whoever looks at a frame, need every pixel. */
function measureOptions({ histograms = false, look, precision }: GradeOptions): MeasureOptions {
  const whole = histograms || look !== undefined;
  return { histograms, precision: whole ? "exact" : (precision ?? "standard") };
}
