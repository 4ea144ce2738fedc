import { GraderError } from "../../model/errors.ts";
import { DEFAULT_LIMITS, type DecodeLimits } from "../decodeLimits.ts";
import { PACKAGE_HOME } from "../packageHome.ts";
import { threadWorker } from "../pool/threadWorker.ts";
import { WorkerDied, WorkerPool } from "../pool/workerPool.ts";
import { readBytes } from "../source/readBytes.ts";
import { tookTooLong } from "../tooMuch.ts";
import { type HeicPicture, type HeifAnswer, heicPicture } from "./heicPicture.ts";

const pool = new WorkerPool(() =>
  threadWorker(new URL("src/picture/heic/heifWorker.mjs", PACKAGE_HOME)),
);

/**
 * Decodes HEIC and HEIF: phones' photographs in HEVC, which sharp does not read.
 *
 * Gain maps, which brighten highlights on some displays, are left out and noted: the base picture is what every viewer
 * shows.
 *
 * @param source - a path, a file URL, or bytes
 * @param limits - most pixels, and the time it may take
 * @throws {@link GraderError} `unsupported-format`, `truncated`, `decode-failed`, `cannot-read`, `too-large`,
 *   `took-too-long`
 */
export async function decodeHeic(
  source: string | URL | Uint8Array,
  limits: DecodeLimits = {},
): Promise<HeicPicture> {
  const { maxMegapixels, timeLimitSeconds } = { ...DEFAULT_LIMITS, ...limits };
  const { bytes, own } = await readBytes(source);
  const answer = await run(bytes, own, 1e6 * maxMegapixels, timeLimitSeconds);
  return heicPicture(answer, maxMegapixels);
}

async function run(
  bytes: Uint8Array<ArrayBuffer>,
  own: boolean,
  mostPixels: number,
  timeLimitSeconds: number,
): Promise<HeifAnswer> {
  try {
    const transfer = own ? [bytes.buffer] : [];
    return (await pool.run({ bytes, mostPixels }, { transfer, timeLimitSeconds })) as HeifAnswer;
  } catch (cause) {
    if (!(cause instanceof WorkerDied)) throw cause;
    if (cause.overtime) throw tookTooLong(timeLimitSeconds, cause);
    throw new GraderError(
      "decode-failed",
      `The HEIF file could not be decoded: ${cause.message}; it may be damaged, copy it again from the phone`,
      { cause },
    );
  }
}
