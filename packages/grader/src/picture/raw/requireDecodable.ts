import { GraderError } from "../../model/errors.ts";
import type { DngTags } from "./dngTags.ts";
import type { LibRawSensor, OpenedRaw, UnpackedRaw } from "./libRaw.ts";

/** Compressions of DNG that this LibRaw cannot undo [DNG, Compression]. */
const UNREADABLE: Readonly<Record<number, string>> = { 9: "VC-5", 52546: "JPEG XL" };

const OTHERWISE = "grade a JPEG or TIFF made from it";

/** Refuses, before anything is unpacked, what cannot become sensor values. */
export function requireDecodable(dng: DngTags | null, missing: "none" | "some" | "all"): void {
  if (missing === "all") throw noPixels();
  if (missing === "some") throw truncated();
  if (!dng) return;
  const compression = UNREADABLE[dng.compression];
  if (compression) {
    throw unsupported(
      `The raw picture is compressed as ${compression}, which Tonefall does not decode`,
    );
  }
  if (dng.floatingPoint) {
    throw unsupported(
      "The raw picture holds floating-point numbers (a merged exposure), which have no sensor codes",
    );
  }
  if (dng.planes !== 1 && dng.planes !== 3) {
    throw unsupported(`Expected 1 or 3 samples per pixel but the raw picture has ${dng.planes}`);
  }
  if (dng.compression === LOSSY && dng.black.values.some((level) => level !== 0)) {
    throw unsupported(
      "The raw picture is lossy and its black level is not 0, so its scale is not known",
    );
  }
}

/**
 * Refuses a DNG of JPEG parts one of which is none: LibRaw stops unpacking there, says nothing, and leaves the rest black.
 *
 * @throws {@link GraderError} `decode-failed`
 */
export function requireJpegParts(dng: DngTags | null, file: Uint8Array): void {
  if (!dng || ![LOSSLESS, LOSSY].includes(dng.compression)) return;
  const { partOffsets } = dng;
  const damaged = partOffsets.findIndex((at) => file[at] !== 0xff || file[at + 1] !== 0xd8);
  if (damaged === -1) return;
  throw new GraderError(
    "decode-failed",
    `The raw file is damaged: part ${damaged + 1} of ${partOffsets.length} of its picture does not begin as JPEG data do; copy it again from the card`,
  );
}

/** Lossless JPEG. */
const LOSSLESS = 7;

/** Lossy JPEG, which LibRaw spreads over 16 bits. */
export const LOSSY = 34892;

/** Refuses what LibRaw cannot open. */
export function requireOpened({ metadata }: OpenedRaw): void {
  if (!metadata) throw unsupported("Tonefall cannot decode this raw format");
}

/** The sensor in LibRaw's answer, or the failure that it stands for. */
export function requireSensor({ stage, sensor, remarks }: UnpackedRaw): LibRawSensor {
  if (stage === "empty") throw noPixels();
  if (remarks.some((remark) => DATA_END.test(remark))) throw truncated();
  const whole = sensor && sensor.samples.length >= sensor.width * sensor.height * sensor.planes;
  if (!sensor || !whole) {
    throw new GraderError(
      "decode-failed",
      `The pixels of the raw file cannot be unpacked: damaged, or compressed in a way that is not known; copy it again from the card, or ${OTHERWISE}`,
    );
  }
  const rows = emptyRows(sensor);
  if (rows === sensor.height) throw noPixels();
  if (rows > MOST_EMPTY_ROWS * sensor.height) throw truncated();
  return sensor;
}

/** What LibRaw, and its JPEG library, say where data end too early. */
const DATA_END = /unexpected end of file|premature end of jpeg file/i;

/** A sensor's last rows hold noise: a tail of zeros longer than this share was never read. */
const MOST_EMPTY_ROWS = 0.02;

/** Rows of zeros at the end, which an unpacker leaves when it runs out of bytes. */
function emptyRows({ samples, width, height, planes }: LibRawSensor): number {
  const last = samples.findLastIndex((sample) => sample !== 0);
  return height - Math.ceil((last + 1) / (width * planes));
}

function truncated(): GraderError {
  return new GraderError(
    "raw-truncated",
    "The raw file ends before its pixel data do; copy it again from the camera or card",
  );
}

function noPixels(): GraderError {
  return new GraderError(
    "raw-no-pixels",
    "The raw file has its headers but no pixels; copy it again from the camera or card",
  );
}

function unsupported(reason: string): GraderError {
  return new GraderError("raw-unsupported", `${reason}; ${OTHERWISE}`);
}
