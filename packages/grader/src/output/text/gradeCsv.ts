import { decidedError } from "../../model/decidedError.ts";
import type { FrameResult } from "../../model/result.ts";
import { type CsvCell, csvLine } from "./csv.ts";
import type { RowWriter } from "./rowWriter.ts";

const COLUMNS: readonly (readonly [string, (row: FrameResult) => CsvCell])[] = [
  ["file", ({ file }) => file],
  ["basis", ({ basis }) => basis],
  ["verdict", ({ verdict }) => verdict],
  ["placement_from_stops", ({ placement }) => placement?.from ?? null],
  ["placement_to_stops", ({ placement }) => placement?.to ?? null],
  ["tolerance_stops", ({ tolerance }) => tolerance],
  ["region", ({ region }) => region],
  ["fall_stops", ({ fall }) => fall?.stops ?? null],
  ["fall_median_stops", ({ fall }) => fall?.median ?? null],
  ["fall_p5_stops", ({ fall }) => fall?.p5 ?? null],
  ["fall_p95_stops", ({ fall }) => fall?.p95 ?? null],
  ["error_stops", ({ error }) => (error ? decidedError(error).stops : null)],
  ["error_uncertainty_stops", ({ error }) => error?.uncertainty ?? null],
  ["error_bound", ({ error }) => (error ? decidedError(error).bound : null)],
  ["error_decided_by", ({ error }) => error?.decidedBy ?? null],
  ["clipped_share", ({ clipped }) => clipped?.share ?? null],
  ["crushed_share", ({ crushed }) => crushed?.share ?? null],
  ["aperture", ({ exposure }) => exposure?.aperture.value ?? null],
  ["shutter_seconds", ({ exposure }) => exposure?.shutter.value ?? null],
  ["iso", ({ exposure }) => exposure?.iso.value ?? null],
  ["compensation_stops", ({ exposure }) => exposure?.compensation.value ?? null],
  ["metering_pattern", ({ exposure }) => exposure?.meteringPattern.value ?? null],
  ["given_exposure_stops", ({ givenExposure }) => givenExposure],
  ["make", ({ exposure }) => exposure?.make.value ?? null],
  ["model", ({ exposure }) => exposure?.model.value ?? null],
  ["captured_at", ({ exposure }) => exposure?.capturedAt.value ?? null],
  ["notes", ({ notes }) => notes.map(({ code }) => code).join(" ")],
  ["failure", ({ failure }) => failure?.code ?? null],
];

/** Where the grades in words were asked for. */
const WORDS: typeof COLUMNS = [
  ["causes", ({ causes }) => causes.map(({ code }) => code).join(" ")],
  ["feedback", ({ feedback }) => feedback?.text ?? null],
  ["cautions", ({ feedback }) => feedback?.cautions.join(" ") ?? null],
];

/**
 * Graded rows as comma-separated values; units are in the headings.
 *
 * @param spoken - whether the rows carry their grades in words
 */
export function gradeCsv({ spoken }: { readonly spoken: boolean }): RowWriter<FrameResult> {
  const columns = spoken ? [...COLUMNS, ...WORDS] : COLUMNS;
  return {
    head: csvLine(columns.map(([title]) => title)),
    row: (frame) => csvLine(columns.map(([, cell]) => cell(frame))),
    end: () => "",
  };
}
