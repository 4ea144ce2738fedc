import { GraderError, type GraderErrorCode } from "../../../model/errors.ts";
import type { DecodedPixels } from "../../../picture/decodedPixels.ts";
import type { Frame } from "../../../picture/frame.ts";
import { heicFrame } from "../../../picture/heic/heicFrame.ts";
import { RAW_FORMATS } from "../../../picture/raw/rawFormats.ts";
import { withScaleEnd } from "../../../picture/scaleEnd.ts";
import { gradeBytes, type PictureDecoder } from "../../../run/gradeBytes.ts";
import { CANNOT_DECODE, type CodecRequest, type Decoded } from "./codecWorker.ts";
import { jpegDecoder } from "./jpegDecoder.ts";
import type { Answer, Request, Step } from "./messages.ts";
import { decodePng } from "./pngDecoder.ts";
import { previewOf } from "./preview.ts";
import { sha256Of } from "./sha256Of.ts";
import { smallPicture } from "./smallPicture.ts";
import { unpacked } from "./unpacked.ts";
import { webpDecoder } from "./webpDecoder.ts";

/** Formats that the command reads and a page may not: a student hands them in all the same. */
const WITHOUT_DECODER = Object.fromEntries(
  ["avif", "bmp", "gif", "jp2", "jxl", "psd", "tiff", "heic", ...RAW_FORMATS].map((format) => [
    format,
    async () => {
      throw new GraderError(
        "unsupported-format",
        `This page cannot measure ${format.toUpperCase()} files; hand in the file all the same, since your teacher's program may read it, or choose the JPEG from the camera`,
      );
    },
  ]),
);

/**
 * The grader of a hand-in page: it takes requests one after another and answers each. It runs in a worker, or in the page
 * where there is none.
 */
export function grader(
  answer: (answer: Answer, handed?: Transferable[]) => void,
): (request: Request) => void {
  const codecs = new Map<string, string>();
  const unstarted = new Map<number, () => void>();
  let jobs = 0;

  const compiled = (name: string) => async (): Promise<WebAssembly.Module> =>
    WebAssembly.compile(await unpacked(codecs.get(name) ?? ""));
  const jpeg = jpegDecoder(compiled("jpeg.wasm"));
  const webp = webpDecoder(compiled("webp.wasm"));

  /** Has a decoder work in a worker of its own, which ends with its memory; the page has to start it. */
  const elsewhere = async (codec: string, file: Uint8Array): Promise<unknown> => {
    const [script, wasm] = await Promise.all([
      unpacked(codecs.get(`${codec}.js`) ?? ""),
      unpacked(codecs.get(`${codec}.wasm`) ?? ""),
    ]);
    const job = ++jobs;
    const { port1: own, port2: port } = new MessageChannel();
    try {
      const { failure, value } = await new Promise<Decoded>((resolve) => {
        unstarted.set(job, () => resolve({ failure: CANNOT_DECODE }));
        own.onmessage = ({ data }) => resolve(data as Decoded);
        const bytes = file.slice();
        own.postMessage({ bytes, wasm } satisfies CodecRequest, [bytes.buffer, wasm.buffer]);
        answer({ kind: "decode", job, script, port }, [script.buffer, port]);
      });
      if (failure) throw new GraderError(failure.code as GraderErrorCode, failure.message);
      return value;
    } finally {
      own.close();
      unstarted.delete(job);
      answer({ kind: "decoded", job });
    }
  };

  const grade = async ({ id, file, brief }: Extract<Request, { kind: "grade" }>): Promise<void> => {
    const step = (step: Step): void => answer({ kind: "step", id, step });
    step("reading");
    const bytes = new Uint8Array(await file.arrayBuffer());
    const digest = sha256Of(bytes);
    const told =
      (decode: (file: Uint8Array) => Promise<DecodedPixels | Frame>): PictureDecoder =>
      async (bytes) => {
        step("decoding");
        const decoded = await decode(bytes);
        step("measuring");
        if ("basis" in decoded) {
          const bitmap = await previewOf(decoded);
          answer({ kind: "preview", id, bitmap }, [bitmap]);
        }
        return decoded;
      };
    const raw = told(async (bytes) => (await elsewhere("raw", bytes)) as Frame);
    const row = await gradeBytes(bytes, brief, {
      name: file.name,
      voice: "student",
      decoders: {
        ...WITHOUT_DECODER,
        jpeg: told(jpeg),
        png: told(decodePng),
        webp: told(webp),
        ...(codecs.has("heic.js")
          ? {
              heic: told(async (bytes) =>
                withScaleEnd(
                  heicFrame((await elsewhere("heic", bytes)) as Parameters<typeof heicFrame>[0]),
                ),
              ),
            }
          : {}),
        ...(codecs.has("raw.js")
          ? Object.fromEntries([...RAW_FORMATS].map((format) => [format, raw]))
          : {}),
      },
    });
    answer({ kind: "graded", id, row, sha256: await digest });
  };

  const show = async ({ id, file }: Extract<Request, { kind: "show" }>): Promise<void> => {
    const bitmap = await smallPicture(file);
    answer({ kind: "shown", id, bitmap }, bitmap ? [bitmap] : []);
  };

  let last: Promise<void> = Promise.resolve();
  // One after another too: a browser holds each in full size while it makes it small.
  let lastShown: Promise<void> = Promise.resolve();
  return (request) => {
    if (request.kind === "codec") codecs.set(request.name, request.packed);
    else if (request.kind === "show") lastShown = lastShown.then(() => show(request));
    else if (request.kind === "unstarted") unstarted.get(request.job)?.();
    else
      last = last.then(() => grade(request)).catch(() => answer({ kind: "lost", id: request.id }));
  };
}
