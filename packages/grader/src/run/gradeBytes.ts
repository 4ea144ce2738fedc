import { type ExposureRecord, type PictureFormat, readExposure } from "@tonefall/exif-reader";
import { type Brief, readyBrief } from "../brief/brief.ts";
import { exposureOf } from "../judge/exposure/exposureOf.ts";
import { GraderError } from "../model/errors.ts";
import type { FrameResult, ReadResult } from "../model/result.ts";
import { type DecodedPixels, decodedFrame, storedChannels } from "../picture/decodedPixels.ts";
import { DEFAULT_LIMITS } from "../picture/decodeLimits.ts";
import type { Frame } from "../picture/frame.ts";
import { jpegFrame } from "../picture/jpegComponents.ts";
import { withScaleEnd } from "../picture/scaleEnd.ts";
import { requireContent } from "../picture/source/requireContent.ts";
import { tooLarge } from "../picture/tooMuch.ts";
import { asFailure } from "./asFailure.ts";
import { blobName } from "./blobName.ts";
import { explain } from "./explain.ts";
import { type DecodableFile, gradeRead } from "./gradeRead.ts";
import type { JudgingOptions } from "./judgingOptions.ts";
import { untilAborted } from "./untilAborted.ts";

/**
 * Decodes a picture file for {@link gradeBytes}: to the codes that the file stores, in full size, or to a whole frame.
 *
 * It may throw a {@link GraderError}, whose code and message the row then has; any other error becomes `decode-failed`.
 *
 * @param file - the whole file, which the decoder must leave as it is
 * @param record - what its metadata say
 */
export type PictureDecoder = (
  file: Uint8Array,
  record: ExposureRecord,
) => Promise<DecodedPixels | Frame>;

/** How bytes are graded. */
export interface GradeBytesOptions extends JudgingOptions {
  /** Decoders by the format they read, as `readExposure` names it: `jpeg`, `png`, `webp`, `heic` ... */
  readonly decoders: Readonly<Partial<Record<PictureFormat, PictureDecoder>>>;
  /**
   * The name that the row carries.
   * @default the name of a `File`, otherwise "(bytes)"
   */
  readonly name?: string;
}

/**
 * Grades one picture wherever no file system is, in a browser for one: the same reading, measuring, judging and words as
 * `gradeFrame`, with decoders that the caller gives.
 *
 * Nothing about the file makes it throw: what cannot be read becomes a result with a `failure`.
 *
 * @param source - a `File`, a Blob, or the bytes of a picture file
 * @param brief - what the frame was asked to show; without a placement it is measured and not judged
 * @throws {@link GraderError} `bad-brief`, `bad-place`, `bad-region`, `bad-tolerance`, `bad-basis` or `bad-transfer` when the
 *   brief is wrong; `bad-option` when the source is none of these; the reason of `options.signal` when it aborts
 *
 * @example
 * ```ts
 * const { verdict } = await gradeBytes(file, { place: "snow", region: "spot" }, { decoders: { jpeg } });
 * ```
 */
export async function gradeBytes(
  source: Blob | Uint8Array,
  brief: Brief,
  options: GradeBytesOptions,
): Promise<FrameResult> {
  const asked = readyBrief(brief);
  if (!(source instanceof Uint8Array || source instanceof Blob)) throw wrongSource();
  const row = await untilAborted(options.signal, async () => {
    const { read, file } = await opened(source, options);
    return gradeRead(read, asked, file, options);
  });
  return explain(row, [], options.voice);
}

/** Callers without types may hand over anything: a path, or a buffer. */
function wrongSource(): GraderError {
  return new GraderError(
    "bad-option",
    "Expected a File, a Blob or bytes (Uint8Array) for a picture; wrap an ArrayBuffer: new Uint8Array(buffer)",
  );
}

async function opened(
  source: Blob | Uint8Array,
  options: GradeBytesOptions,
): Promise<{ readonly read: ReadResult; readonly file: DecodableFile | null }> {
  const blank: ReadResult = {
    file: options.name ?? blobName(source) ?? "(bytes)",
    format: null,
    exposure: null,
    givenExposure: null,
    notes: [],
    failure: null,
  };
  try {
    requireContent(source instanceof Uint8Array ? source.length : source.size);
    const record = await readExposure(source);
    const bytes =
      source instanceof Uint8Array ? source : new Uint8Array(await source.arrayBuffer());
    const { exposure, givenExposure } = exposureOf(record);
    const { format, notes } = record;
    const read = { ...blank, format, exposure, givenExposure, notes };
    return { read, file: decodable(bytes, record, options) };
  } catch (error) {
    return { read: { ...blank, failure: asFailure(error) }, file: null };
  }
}

function decodable(
  bytes: Uint8Array,
  record: ExposureRecord,
  options: GradeBytesOptions,
): DecodableFile {
  return {
    input: bytes,
    withDecoded: async ({ gamma }, work) => {
      const decode = options.decoders[record.format];
      if (!decode) throw withoutDecoder(record.format);
      const most = options.maxMegapixels ?? DEFAULT_LIMITS.maxMegapixels;
      const size = record.format === "jpeg" ? jpegFrame(bytes) : null;
      if (size && size.width * size.height > 1e6 * most) throw tooLarge(most);
      storedChannels(bytes, record);
      const decoded = await decodeWith(decode, bytes, record);
      if ("basis" in decoded) return work(decoded);
      return work(withScaleEnd(decodedFrame(decoded, bytes, record, gamma ?? null)));
    },
  };
}

async function decodeWith(
  decode: PictureDecoder,
  bytes: Uint8Array,
  record: ExposureRecord,
): Promise<DecodedPixels | Frame> {
  try {
    return await decode(bytes, record);
  } catch (cause) {
    if (cause instanceof GraderError) throw cause;
    throw new GraderError(
      "decode-failed",
      "The picture is damaged or of an unusual kind and cannot be decoded; export it again",
      { cause },
    );
  }
}

function withoutDecoder(format: PictureFormat): GraderError {
  return new GraderError(
    "unsupported-format",
    `The file is ${format.toUpperCase()}, for which there is no decoder here; export it as JPEG`,
  );
}
