import type { ExposureFields } from "@tonefall/exif-reader";
import type { Exposure } from "../model/result.ts";
import { type FrameFacts, toneKey } from "./frameFacts.ts";
import type { ReadyFrame } from "./readySet.ts";
import type { Pin } from "./setFile.ts";

/** The fields whose loss is reported: those that claims need, and those that identify the camera. */
const PINNED_FIELDS: readonly (keyof ExposureFields)[] = [
  "aperture",
  "shutter",
  "iso",
  "compensation",
  "programme",
  "mode",
  "meteringPattern",
  "flashFired",
  "capturedAt",
  "make",
  "model",
];

/** The regions whose falls a frame's pin records: its named ones, or else the whole. */
export function pinnedRegions({ regions }: Pick<ReadyFrame, "regions">): Record<string, string> {
  return Object.keys(regions).length > 0 ? { ...regions } : { whole: "whole" };
}

/** A pin of a frame's file as it is now; null where it cannot be read. */
export function pinOf(frame: ReadyFrame, facts: FrameFacts): Pin | null {
  const { sha256, read } = facts;
  if (facts.failure || sha256 === null || !read?.exposure) return null;
  const picture = [...facts.tones.values()].find((row) => row.picture)?.picture;
  const falls = Object.entries(pinnedRegions(frame)).flatMap(([name, region]) => {
    const fall = facts.tones.get(toneKey({ region, basis: null }))?.fall;
    return fall ? [[name, Math.round(fall.stops * 1e4) / 1e4] as const] : [];
  });
  return {
    sha256,
    ...(picture ? { size: `${picture.width}x${picture.height}`, colour: picture.colour } : {}),
    orientation: read.exposure.orientation.value,
    software: read.exposure.software.value,
    recorded: recordedFields(read.exposure),
    falls: Object.fromEntries(falls),
  };
}

/** The pinned fields that a record holds. */
function recordedFields(exposure: Exposure): string[] {
  return PINNED_FIELDS.filter((field) => exposure[field].value !== null);
}
