import { cutText } from "@tonefall/tone-core";
import type { FrameResult, SensorChannel, SensorResult, ShotPair } from "../../model/result.ts";
import type { Headroom } from "../../model/sensor.ts";
import { percentText, safeText } from "../../model/words.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";
import { wrapped } from "./wrapped.ts";

/** As long as any file system's names; a result that is merged may hold anything. */
const MOST_OF_NAME = 255;

/** What the table reads of a row. */
export type RawRow = Pick<FrameResult, "file" | "pair"> & {
  readonly sensor:
    | (Pick<SensorResult, "roomAboveRegion" | "roomAboveFrame"> & {
        readonly channels: readonly Pick<SensorChannel, "channel" | "clippedShare">[];
      })
    | null;
};

/** What only raw rows can say: the room left on the sensor, and what raw and rendered pairs say together. */
export function rawTable(
  frames: readonly RawRow[],
  style: TableStyle,
  name: (frame: RawRow) => string,
): string {
  const raw = frames.filter(({ sensor }) => sensor !== null);
  if (raw.length === 0) return "";
  const columns: Column<RawRow>[] = [
    { title: "Sensor", cell: name, shrinksTo: 8, gives: "shortens" },
    { title: "Clipped", cell: clippedText },
    { title: "Room, region", cell: ({ sensor }) => roomText(sensor?.roomAboveRegion) },
    { title: "Room, frame", cell: ({ sensor }) => roomText(sensor?.roomAboveFrame) },
  ];
  const pairs = frames.flatMap(({ pair }) => (pair ? pairLines(pair) : []));
  const remarks = pairs.map((line) => wrapped(line, style.width));
  return [textTable(columns, raw, style), ...remarks].join("\n");
}

/** The channel that clips most, over the whole frame. */
function clippedText({ sensor }: RawRow): string {
  const [most] = [...(sensor?.channels ?? [])].sort((a, b) => b.clippedShare - a.clippedShare);
  if (!most || most.clippedShare === 0) return "none";
  return `${percentText(most.clippedShare)} (${most.channel})`;
}

function roomText(room: Headroom | undefined): string {
  if (!room || room.stops === null) return "-";
  return room.stops === 0
    ? `none (${room.limitedBy})`
    : `${room.stops.toFixed(2)} (${room.limitedBy})`;
}

function pairLines({ rendered, clippedOnlyInRendering, renderedMiddleGrey }: ShotPair): string[] {
  const file = safeText(cutText(rendered.slice(rendered.lastIndexOf("/") + 1), MOST_OF_NAME));
  const lines: string[] = [];
  if (clippedOnlyInRendering) {
    lines.push(`Pair: the region is clipped in ${file} but intact on the sensor.`);
  }
  if (renderedMiddleGrey) {
    const { shareOfSaturation, uncertainty } = renderedMiddleGrey;
    lines.push(
      `Pair: ${file} shows ${percentText(shareOfSaturation)} of saturation as middle grey (± ${uncertainty.toFixed(2)} stop).`,
    );
  }
  return lines;
}
