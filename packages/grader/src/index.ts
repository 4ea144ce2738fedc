/**
 * Grades photographic exposure: where the subject's tone fell, against where it was meant to be placed, in stops.
 *
 * @packageDocumentation
 */
export type {
  Contrast,
  ExposureMode,
  ExposureProgramme,
  Field,
  FieldAbsence,
  MeteringPattern,
  SubjectArea,
} from "@tonefall/exif-reader";
export type { Bound, Region, Verdict } from "@tonefall/tone-core";
export type { Brief } from "./brief/brief.ts";
export { type BriefFile, readBriefFile } from "./brief/briefFile.ts";
export type { Source } from "./decode/openSource.ts";
export { GraderError, type GraderErrorCode } from "./errors.ts";
export type { SpotSettings } from "./metering/meterZones.ts";
export { splitMiss } from "./metering/splitMiss.ts";
export type {
  BoundedStops,
  LightSanity,
  MissSplit,
  Reading,
  SimulatedPattern,
  SplitMode,
} from "./metering/types.ts";
export type { Note } from "./note.ts";
export { summarise } from "./report/summarise.ts";
export {
  type Basis,
  type ClippedShare,
  type Exposure,
  type ExposureError,
  type ExposureField,
  type Fall,
  type FrameHistograms,
  type FrameResult,
  type Placement,
  type ReadResult,
  type RunSummary,
  SCHEMA_VERSION,
} from "./result.ts";
export { type FoundFrame, type FoundFrames, findFrames } from "./run/findFrames.ts";
export { type GradeOptions, gradeFrame } from "./run/gradeFrame.ts";
export { type BriefFor, gradeFrames, type RunOptions, readFrames } from "./run/gradeFrames.ts";
export {
  type MeterOptions,
  type MeterResult,
  type MeterRunOptions,
  meterFrame,
  meterFrames,
} from "./run/meterFrame.ts";
export { readFrame } from "./run/readFile.ts";
