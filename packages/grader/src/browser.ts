/**
 * Grades photographic exposure in a browser: bytes or a `File` against a brief, with decoders that the caller gives. It
 * needs nothing of Node.
 *
 * @packageDocumentation
 */

export type { Brief } from "./brief/brief.ts";
export { GraderError, type GraderErrorCode } from "./model/errors.ts";
export type { Voice } from "./model/feedback.ts";
export type { Note } from "./model/note.ts";
export type { FrameResult } from "./model/result.ts";
export { errorText, stopsText } from "./model/words.ts";
export type { DecodedPixels } from "./picture/decodedPixels.ts";
export type { Frame } from "./picture/frame.ts";
export { type GradeBytesOptions, gradeBytes, type PictureDecoder } from "./run/gradeBytes.ts";
export type { JudgingOptions } from "./run/judgingOptions.ts";
export type { SeenFrame } from "./run/seenFrame.ts";
