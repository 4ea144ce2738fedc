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
  ReadingComparison,
  SubjectArea,
} from "@tonefall/exif-reader";
export type { Bound, Region, Verdict } from "@tonefall/tone-core";
export type { Brief } from "./brief/brief.ts";
export { type BriefFile, readBriefFile } from "./brief/briefFile.ts";
export type { BracketFrame } from "./calibrate/bracketFrame.ts";
export {
  type BracketOptions,
  type BracketResult,
  measureBracket,
} from "./calibrate/measureBracket.ts";
export {
  type CardFrame,
  type CardOptions,
  type CardResult,
  measureCard,
} from "./calibrate/measureCard.ts";
export { measurePairs, type PairedShot, type PairsResult } from "./calibrate/measurePairs.ts";
export type {
  DueTime,
  ReadyClass,
  ReadyExercise,
  ReadyLevel,
  ReadyStudent,
  ReadyTask,
  Recognition,
} from "./classes/classFile.ts";
export type { FoundHandIns, HandedSlip, HandIn, Stray } from "./classes/handIn.ts";
export { type Marking, type MarkOptions, markClass } from "./classes/markClass.ts";
export {
  type RecordedFile,
  recordPath,
  writeMarkRecord,
} from "./classes/markRecord.ts";
export type {
  ClassExercise,
  ClassProgress,
  LessonTopic,
  MissedTask,
  SharedCause,
} from "./classes/progress/classProgress.ts";
export type { Leaning } from "./classes/progress/leaning.ts";
export type { MissTrend, TrendKind } from "./classes/progress/missTrend.ts";
export type { RecurringCause } from "./classes/progress/recurringCause.ts";
export type { StudentExercise, StudentProgress } from "./classes/progress/studentProgress.ts";
export {
  PROGRESS_VERSION,
  type TermExercise,
  type TermProgress,
  termProgress,
} from "./classes/progress/termProgress.ts";
export type { Improvement } from "./classes/progress/whatImproved.ts";
export { readClass } from "./classes/readClass.ts";
export { readSlip } from "./classes/readSlip.ts";
export type { FrameWords } from "./classes/sheets/frameWords.ts";
export {
  type ReadTemplates,
  readTemplates,
  type SheetTemplates,
} from "./classes/sheets/sheetTemplates.ts";
export {
  type SheetExercise,
  type SheetFrame,
  type StudentSheet,
  studentSheets,
} from "./classes/sheets/studentSheet.ts";
export {
  type Capture,
  type CaptureOptions,
  openCapture,
} from "./expose/capture.ts";
export { type EncodeOptions, encodeFrame } from "./expose/encodeFrame.ts";
export { exposeFrame, type MadeFrame } from "./expose/exposeFrame.ts";
export type {
  ExposureAsked,
  MadeSettings,
  MeteredExposure,
  PlacedExposure,
  PlannedExposure,
  RelativeExposure,
} from "./expose/exposure.ts";
export {
  type MadeTone,
  makeFrames,
  type WantedFrame,
  type WrittenFrame,
} from "./expose/makeFrames.ts";
export { openBracket } from "./expose/openBracket.ts";
export { kitCurve, PLAIN, PRINT, type RenderingCurve } from "./expose/renderingCurve.ts";
export { bracketOffsets } from "./expose/series.ts";
export { adviseNext } from "./judge/advice/adviseNext.ts";
export type { CauseRow } from "./judge/cause/causeFacts.ts";
export { findCauses } from "./judge/cause/findCauses.ts";
export { feedbackFor } from "./judge/feedback/feedbackFor.ts";
export type { SpotSettings } from "./judge/metering/meterZones.ts";
export { splitMiss } from "./judge/metering/splitMiss.ts";
export type { CameraKit, KitPoint, NamedKit } from "./kit/kit.ts";
export { kitText, readKitFile } from "./kit/kitFile.ts";
export { kitsBeside } from "./kit/kitsBeside.ts";
export type {
  Cause,
  CauseCode,
  Evidence,
  FactCode,
  SizedFactCode,
  Strength,
} from "./model/cause.ts";
export {
  ALLOWANCES,
  type Allowance,
  CHECK_VERSION,
  type CheckBlock,
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
} from "./model/checkResult.ts";
export { GraderError, type GraderErrorCode } from "./model/errors.ts";
export type { Feedback, Voice } from "./model/feedback.ts";
export { type MadeMark, madeFrameOf } from "./model/madeFrame.ts";
export {
  FLAG_CODES,
  type Flag,
  type FlagCode,
  type Lateness,
  MARKED_VERSION,
  type MarkedClass,
  type MarkedExercise,
  type MarkedFrame,
  type MarkedLevel,
  type MarkedRow,
  type MarkedSummary,
  type MarkedTask,
  type RecognisedBy,
  type Remark,
  type UnaskedFile,
} from "./model/markedClass.ts";
export type {
  BoundedStops,
  LightSanity,
  MissSplit,
  Reading,
  SimulatedPattern,
  SplitMode,
} from "./model/metering.ts";
export type { CameraStep, NextSettings, NextWay, SettingName } from "./model/nextSettings.ts";
export type { Note, NoteCode, ShareNoteCode } from "./model/note.ts";
export type { Precision, Sampling } from "./model/precision.ts";
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
  type KnownFall,
  type Placement,
  type ReadResult,
  type RowShard,
  type RunSummary,
  SCHEMA_VERSION,
  type SensorChannel,
  type SensorResult,
  type ShotPair,
} from "./model/result.ts";
export type { BlackSource, ChannelHeadroom, Headroom, StatedSensor } from "./model/sensor.ts";
export type { Slip, SlipFrame } from "./model/slip.ts";
export {
  type Exercise,
  type ExerciseTask,
  exerciseOfBriefs,
  exerciseOfClass,
} from "./output/handout/exercise.ts";
export {
  type HandoutOptions,
  handoutPage,
  type MoreDecoder,
} from "./output/handout/handoutPage.ts";
export { type CheckReport, checkReport } from "./output/page/checkReport.ts";
export { type ClassReportOptions, classReport } from "./output/page/classReport.ts";
export { type CheckKeeper, checkKeeper } from "./output/page/keptCheck.ts";
export {
  type PageOptions,
  type PageReport,
  pageReport,
  type ReportOptions,
} from "./output/page/pageReport.ts";
export { summarise } from "./output/text/summarise.ts";
export type { Frame, FrameBasis, ScaleEnd } from "./picture/frame.ts";
export type { LinearChannel, LinearPicture } from "./picture/linearPicture.ts";
export type { Source } from "./picture/source/openSource.ts";
export {
  type CancelledUnknown,
  compareFrames,
  type FrameComparison,
} from "./run/compareFrames.ts";
export { type FoundFrame, type FoundFrames, findFrames } from "./run/findFrames.ts";
export { gradeFrame } from "./run/gradeFrame.ts";
export { type BriefFor, gradeFrames, type RunOptions, readFrames } from "./run/gradeFrames.ts";
export type { GradeOptions } from "./run/gradeOptions.ts";
export { type Journal, type JournaledRun, openJournal } from "./run/memory/journal.ts";
export { type CacheOptions, type RowCache, rowCache } from "./run/memory/rowCache.ts";
export type { RowMemory } from "./run/memory/rowMemory.ts";
export { type MergedRun, mergeRows, type RunPart } from "./run/mergeRows.ts";
export {
  type MeterOptions,
  type MeterResult,
  type MeterRunOptions,
  meterFrame,
  meterFrames,
} from "./run/meterFrame.ts";
export { pairOf, type ShotRow, withPairs } from "./run/pairShots.ts";
export { type ReadOptions, readFrame } from "./run/readFile.ts";
export { readRows } from "./run/readRows.ts";
export type { SeenFrame } from "./run/seenFrame.ts";
export type { WrittenKind } from "./run/write/heldText.ts";
export { type WritePlace, type WriteRequest, writePlace } from "./run/write/writePlace.ts";
export { type CheckOptions, checkSet, checkSets } from "./sets/checkSet.ts";
export type { CheckWatch } from "./sets/measureSet.ts";
export { mergeChecks } from "./sets/mergeChecks.ts";
