import { GraderError } from "../../model/errors.ts";
import type { DecodeLimits } from "../decodeLimits.ts";
import { type LibRawMetadata, openRaw } from "./libRaw.ts";
import { orientationFromFlip } from "./orientationFromFlip.ts";

/** Exposure metadata of a raw file as LibRaw reads it; null where the file has none. */
export interface RawMetadata {
  readonly make: string | null;
  readonly model: string | null;
  /** f-number. */
  readonly aperture: number | null;
  readonly shutterSeconds: number | null;
  readonly iso: number | null;
  readonly focalLengthMillimetres: number | null;
  /** Camera time, `YYYY-MM-DDThh:mm:ss`, without a zone. */
  readonly capturedAt: string | null;
  /** Exif orientation, 1 to 8. */
  readonly orientation: number;
}

/**
 * Exposure metadata of a raw file, for formats that an Exif reader does not know. A file that has lost its pixels still
 * has them.
 *
 * @param source - a path, a file URL, or bytes
 * @param limits - the time it may take
 * @throws {@link GraderError} `raw-unsupported` when LibRaw cannot open the file, `cannot-read`, `decode-failed`,
 *   `took-too-long`
 */
export async function readRawMetadata(
  source: string | URL | Uint8Array,
  limits: DecodeLimits = {},
): Promise<RawMetadata> {
  const metadata = await openRaw(source, { pixels: false, limits }, (opened) => opened.metadata);
  if (!metadata) {
    throw new GraderError(
      "raw-unsupported",
      "Tonefall cannot read this raw format; grade a JPEG or TIFF made from it",
    );
  }
  return rawMetadata(metadata);
}

/** LibRaw's metadata with nulls for what it lacks: it writes 0. */
function rawMetadata(metadata: LibRawMetadata): RawMetadata {
  const { timestampSeconds } = metadata;
  return {
    make: metadata.make || null,
    model: metadata.model || null,
    aperture: known(metadata.aperture),
    shutterSeconds: known(metadata.shutterSeconds),
    iso: known(metadata.iso),
    focalLengthMillimetres: known(metadata.focalLengthMillimetres),
    capturedAt:
      timestampSeconds > 0 ? new Date(timestampSeconds * 1000).toISOString().slice(0, 19) : null,
    orientation: orientationFromFlip(metadata.flip),
  };
}

/** LibRaw holds single-precision numbers: the digits beyond are noise. */
function known(value: number): number | null {
  return value > 0 && Number.isFinite(value) ? Number(value.toPrecision(7)) : null;
}
