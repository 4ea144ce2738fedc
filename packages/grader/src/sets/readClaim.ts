import type { ReadyClaim, ReadyRecord } from "./readySet.ts";
import type { SetPath } from "./relationKinds.ts";
import type { RecordClaim, TypedClaim } from "./setFile.ts";
import type { SetReader } from "./setReader.ts";
import { openRange, secondsOf, shareOf, stopsOf } from "./setValues.ts";

const KINDS = ["falls", "error", "record", "reading", "unclipped", "as-shot"] as const;

/**
 * Reads one claim on a frame.
 *
 * @param frame - its name
 * @param path - of the claim in the set file
 */
export function readClaim(
  claim: TypedClaim,
  frame: string,
  path: SetPath,
  reader: SetReader,
): ReadyClaim {
  const kind = KINDS.find((name) => claim[name] !== undefined) as (typeof KINDS)[number];
  const entry = { id: reader.id(claim.id, `${frame}.${kind}`, path), at: reader.at(path) };
  const within = [...path, kind];
  if (claim.falls) {
    return { ...entry, kind: "falls", ...reader.placed({ frame, ...claim.falls }, within) };
  }
  if (claim.error) {
    const lies = reader.value([...within, "lies"], openRange, claim.error.lies);
    return { ...entry, kind: "error", lies, ...reader.placed({ frame, ...claim.error }, within) };
  }
  if (claim.record) {
    return { ...entry, kind: "record", record: readRecord(claim.record, within, reader) };
  }
  if (claim.reading) {
    const { pattern, reads, basis, tolerance } = claim.reading;
    return {
      ...entry,
      kind: "reading",
      pattern,
      reads: reader.value([...within, "reads"], openRange, reads),
      ask: reader.ask({ frame, region: "whole", basis }, within),
      tolerance: reader.tolerance(tolerance, within),
    };
  }
  if (claim.unclipped) {
    const { region, most = 0 } = claim.unclipped;
    return {
      ...entry,
      kind: "unclipped",
      ask: reader.ask({ frame, region }, within),
      most: reader.value([...within, "most"], shareOf, most),
    };
  }
  return { ...entry, kind: "as-shot" };
}

function readRecord(
  { shutter, compensation, ...rest }: RecordClaim,
  path: SetPath,
  reader: SetReader,
): ReadyRecord {
  if (Object.keys(rest).length === 0 && shutter === undefined && compensation === undefined) {
    reader.refuse("a record claim needs at least one setting", path);
  }
  return {
    ...rest,
    ...(shutter === undefined
      ? {}
      : { shutter: reader.value([...path, "shutter"], secondsOf, shutter) }),
    ...(compensation === undefined
      ? {}
      : { compensation: reader.value([...path, "compensation"], stopsOf, compensation) }),
  };
}
