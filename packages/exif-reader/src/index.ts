/**
 * Reads one exposure record from a photograph's metadata, without decoding pixels.
 *
 * @packageDocumentation
 */
export { sidecarPath } from "#disk";
// What containers hold beside the record
export { damagedChunk } from "./container/damagedChunk.ts";
export { embeddedProfile } from "./container/embeddedProfile.ts";
export { type PictureProperty, primaryProperties } from "./container/isobmffProperties.ts";
export { type PngChunk, pngChunks } from "./container/pngChunks.ts";
export { ExifError, type ExifErrorCode } from "./errors.ts";
// The record
export type {
  ColourSpace,
  CompositeImage,
  Contrast,
  CustomRendered,
  ExifNote,
  ExifNoteCode,
  ExposureFields,
  ExposureMode,
  ExposureProgramme,
  ExposureRecord,
  Field,
  GainControl,
  ImageRegion,
  KnownField,
  LightSource,
  MeteringPattern,
  MissingField,
  RegionBoundary,
  RegionPoint,
  Saturation,
  SceneType,
  SensitivityType,
  Sharpness,
  SubjectArea,
  SubjectCircle,
  SubjectLocation,
  SubjectPoint,
  SubjectRectangle,
} from "./exposureRecord.ts";
export { type FieldAbsence, REASONS } from "./fieldAbsence.ts";
export { PICTURE_EXTENSIONS, type PictureFormat, RAW_EXTENSIONS } from "./pictureFormat.ts";
// Reading
export { type ReadExposureOptions, readExposure } from "./readExposure.ts";
// A second opinion
export {
  type Agreement,
  type ComparedField,
  type ComparedSetting,
  compareReadings,
  type Disagreement,
  type DisagreementCode,
  type ReadingComparison,
} from "./second/compareReadings.ts";
export { type SecondAnswers, type SecondReading, secondReading } from "./second/secondReading.ts";
export { sniffFormat } from "./sniffFormat.ts";
export type { ExposureSource } from "./source/openSource.ts";
export { type TiffDirectory, tiffDirectories } from "./tiff/tiffDirectories.ts";
