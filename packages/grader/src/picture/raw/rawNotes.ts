import type { Note } from "../../model/note.ts";
import type { BlackSource } from "../../model/sensor.ts";
import type { FilterCell } from "./filterCell.ts";
import type { SensorLayout } from "./sensorLayout.ts";

import type { ChannelWhite } from "./whiteLevels.ts";

/** Black levels may differ by this share of the range, 0.02 stop at middle grey, before it is worth a note. */
const BLACK_AGREEMENT = 0.002;

/**
 * What a reader should know of a black level: that it was measured, or that the shielded border contradicts it.
 *
 * @param levels - black of each channel as used
 * @param bordered - black of each channel on the shielded border, or null without one
 * @param white - the sensor's white level
 */
export function blackNotes(
  levels: readonly number[],
  from: BlackSource,
  bordered: readonly number[] | null,
  white: number,
): Note[] {
  if (from === "masked-border") {
    const message = `The file states no black level; ${codes(levels)} was measured on the sensor's shielded border.`;
    return [{ code: "black-level-measured", message }];
  }
  if (!bordered) return [];
  const apart = levels.map((level, i) => Math.abs(level - (bordered[i] as number)));
  if (Math.max(...apart) <= BLACK_AGREEMENT * (white - Math.max(...levels))) return [];
  const message = `The file states a black level of ${codes(levels)} but its shielded border shows ${codes(bordered)}; the stated one was used, so deep shadows are uncertain.`;
  return [{ code: "black-level-disagrees", message }];
}

/** That the data clip below the level that the file states. */
export function whiteNotes(
  white: ChannelWhite,
  stated: readonly number[],
  cell: FilterCell,
): Note[] {
  if (white.from === "metadata") return [];
  const channels = cell.sites.flatMap(({ name }, i) =>
    (white.clipCodes[i] as number) < (stated[i] as number) ? `${name} ${white.clipCodes[i]}` : [],
  );
  const message = `The file states a white level of ${codes(stated)} but its samples pile up at ${channels.join(", ")}; that is where the sensor clips, and it was used.`;
  return [{ code: "white-level-from-data", message }];
}

/** What the kind of raw means for the numbers. */
export function layoutNotes({ kind }: SensorLayout): Note[] {
  if (kind !== "demosaiced") return [];
  const message =
    "This DNG holds a demosaiced picture, not the sensor's own values; clipping may have been hidden when it was made.";
  return [{ code: "raw-demosaiced", message }];
}

function codes(levels: readonly number[]): string {
  const rounded = levels.map((level) => Number(level.toFixed(1)));
  return [...new Set(rounded)].join(", ");
}
