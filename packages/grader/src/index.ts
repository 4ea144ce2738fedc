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
export { adviseNext } from "./advice/adviseNext.ts";
export type { CameraStep, NextSettings, NextWay, SettingName } from "./advice/nextSettings.ts";
export type { Brief } from "./brief/brief.ts";
export { type BriefFile, readBriefFile } from "./brief/briefFile.ts";
export type { Cause, CauseCode, Evidence, Strength } from "./cause/cause.ts";
export type { CauseRow } from "./cause/causeFacts.ts";
export { findCauses } from "./cause/findCauses.ts";
export type { Frame, FrameBasis } from "./decode/frame.ts";
export type { Source } from "./decode/openSource.ts";
export { GraderError, type GraderErrorCode } from "./errors.ts";
export type { Feedback, Voice } from "./feedback/feedback.ts";
export { feedbackFor } from "./feedback/feedbackFor.ts";
export type { CameraKit, KitPoint } from "./kit/kit.ts";
export { kitsBeside, kitText, type NamedKit, readKitFile } from "./kit/kitFile.ts";
export {
  type BracketFrame,
  type BracketOptions,
  type BracketResult,
  measureBracket,
} from "./kit/measureBracket.ts";
export {
  type CardFrame,
  type CardOptions,
  type CardResult,
  measureCard,
} from "./kit/measureCard.ts";
export { measurePairs, type PairedShot, type PairsResult } from "./kit/measurePairs.ts";
export type { ChannelHeadroom, Headroom } from "./measure/headroom.ts";
export type { Precision, Sampling } from "./measure/sampling.ts";
export { type Journal, type JournaledRun, openJournal } from "./memory/journal.ts";
export { type CacheOptions, type RowCache, rowCache } from "./memory/rowCache.ts";
export type { RowMemory } from "./memory/rowMemory.ts";
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
export { type CheckReport, checkReport } from "./page/checkReport.ts";
export { type PageOptions, type PageReport, pageReport } from "./page/pageReport.ts";
export type { BlackSource } from "./raw/statedBlack.ts";
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
  type KitUse,
  type Placement,
  type ReadResult,
  type RowShard,
  type RunSummary,
  SCHEMA_VERSION,
  type SensorChannel,
  type SensorResult,
  type ShotPair,
  type StatedSensor,
} from "./result.ts";
export {
  type CancelledUnknown,
  compareFrames,
  type FrameComparison,
} from "./run/compareFrames.ts";
export { type FoundFrame, type FoundFrames, findFrames } from "./run/findFrames.ts";
export { gradeFrame } from "./run/gradeFrame.ts";
export { type BriefFor, gradeFrames, type RunOptions, readFrames } from "./run/gradeFrames.ts";
export type { GradeOptions } from "./run/gradeOptions.ts";
export { type MergedRun, mergeRows, type RunPart } from "./run/mergeRows.ts";
export {
  type MeterOptions,
  type MeterResult,
  type MeterRunOptions,
  meterFrame,
  meterFrames,
} from "./run/meterFrame.ts";
export { pairOf, type ShotRow, withPairs } from "./run/pairShots.ts";
export { readFrame } from "./run/readFile.ts";
export { readRows } from "./run/readRows.ts";
export type { SeenFrame } from "./run/seenFrame.ts";
export {
  CHECK_VERSION,
  type CheckedSet,
  type CheckResult,
  type CheckRow,
  type CheckShard,
  type CheckStops,
  type CheckSummary,
  OUTCOMES,
  type Outcome,
  ROW_KINDS,
  type RowKind,
  type Shard,
} from "./set/checkResult.ts";
export { type CheckOptions, type CheckWatch, checkSet, checkSets } from "./set/checkSet.ts";
export { mergeChecks } from "./set/mergeChecks.ts";
export { ALLOWANCES, type Allowance } from "./set/setFile.ts";
export {
  type CauseOutcome,
  type CauseTrials,
  causeTrials,
  HELD_OUT_FAMILIES,
  TUNING_FAMILIES,
} from "./simulation/causeTrials.ts";
export type { PlantedName, Traceless } from "./simulation/plantedCauses.ts";
export { CURVE_FAMILIES, type CurveFamily } from "./simulation/renderingCurve.ts";
export type { WrittenKind } from "./write/heldText.ts";
export { type WritePlace, type WriteRequest, writePlace } from "./write/writePlace.ts";
