import { log2 } from "@tonefall/tone-core";
import { GraderError } from "../model/errors.ts";
import type { KitFrame } from "./kitFrame.ts";

/** Exposures closer together than this, stops, count as one step. */
const SAME_EXPOSURE = 0.1;

/** The fewest exposures that give a curve. */
const LEAST_EXPOSURES = 3;

type Row = KitFrame["row"];

/**
 * The exposure of each frame of a bracket, stops. Typed times replace the recorded ones; aperture and sensitivity come
 * from metadata where every frame has them, and are taken as unchanged where none has.
 *
 * @param times - seconds, in the order of the frames; recorded ones where left out
 * @throws {@link GraderError} `bad-option` when the number of times differs from that of frames, or one is not a time; `kit-refused`
 *   when a setting is missing or the exposures are too few
 */
export function bracketExposures(
  rows: readonly Row[],
  times: readonly number[] | undefined,
): readonly number[] {
  if (times && times.length !== rows.length) {
    throw new GraderError(
      "bad-option",
      `Expected as many times as frames, ${rows.length}, but received ${times.length}`,
    );
  }
  const exposures =
    times === undefined && rows.every(({ givenExposure }) => givenExposure !== null)
      ? rows.map(({ givenExposure }) => givenExposure as number)
      : rows.map((row, i) => {
          const time = times
            ? times[i]
            : (row.exposure.shutter.exact ?? row.exposure.shutter.value);
          return (
            log2(requireTime(time ?? null, row.file)) + sensitivity(row, rows) - closing(row, rows)
          );
        });
  const distinct = [...exposures]
    .sort((a, b) => a - b)
    .filter(
      (exposure, i, sorted) => i === 0 || exposure - (sorted[i - 1] as number) > SAME_EXPOSURE,
    );
  if (distinct.length < LEAST_EXPOSURES) {
    throw new GraderError(
      "kit-refused",
      `Expected ${LEAST_EXPOSURES} exposures or more but the frames were given ${distinct.length}; photograph the scene in steps of a stop`,
    );
  }
  return exposures;
}

function requireTime(time: number | null, file: string): number {
  if (time === null) {
    throw new GraderError(
      "kit-refused",
      `${file} records no exposure time; type the times in the order of the files, such as --times 1/40,1/10,0.4`,
    );
  }
  if (Number.isFinite(time) && time > 0) return time;
  throw new GraderError("bad-option", `Expected times above 0 seconds but received ${time}`);
}

/** log2(ISO / 100), 0 where no frame records it. */
function sensitivity(row: Row, rows: readonly Row[]): number {
  const value = recorded(row, rows, "iso");
  return value === null ? 0 : log2(value / 100);
}

/** log2(N²), 0 where no frame records it. */
function closing(row: Row, rows: readonly Row[]): number {
  const value = recorded(row, rows, "aperture");
  return value === null ? 0 : 2 * log2(value);
}

function recorded(row: Row, rows: readonly Row[], setting: "iso" | "aperture"): number | null {
  const field = row.exposure[setting];
  if (field.value !== null) return field.exact ?? field.value;
  if (rows.every(({ exposure }) => exposure[setting].value === null)) return null;
  throw new GraderError(
    "kit-refused",
    `${row.file} records no ${setting === "iso" ? "sensitivity" : "aperture"} while other frames do, so its exposure is not known`,
  );
}
