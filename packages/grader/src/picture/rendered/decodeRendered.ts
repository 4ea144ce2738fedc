import { resolve as absolute } from "node:path";
import { isDeepStrictEqual } from "node:util";
import type { ColourSpace, PictureFormat } from "@tonefall/exif-reader";
import { exp2 } from "@tonefall/tone-core";
import sharp, { type Metadata, type Sharp } from "sharp";
import { GraderError, NOT_A_PICTURE } from "../../model/errors.ts";
import type { Note } from "../../model/note.ts";
import { type CodeMeaning, srgb } from "../colour/codeMeaning.ts";
import { statedMeaning } from "../colour/statedMeaning.ts";
import { DEFAULT_LIMITS, type DecodeLimits } from "../decodeLimits.ts";
import type { Frame } from "../frame.ts";
import { DECODER_TURNS } from "../pool/decoderTurns.ts";
import { timerDelay } from "../pool/timerDelay.ts";
import { renderedFrame } from "../renderedFrame.ts";
import { type DecoderInput, decoderInput } from "../source/decoderInput.ts";
import { openSource, type PictureFile } from "../source/openSource.ts";
import { tookTooLong, tooLarge } from "../tooMuch.ts";

/** Enough of a file to hold what PNG and AVIF say of colour before their pixels. */
const HEAD_BYTES = 64 * 1024;

// Frames are decoded once and side by side: a cache keeps what is never asked for again, and threads within one decode
// only get in the way of the other frames.
sharp.cache(false);
sharp.concurrency(1);

/** Every so many-th pixel of a quick decode: odd, so that every place in a JPEG's blocks is visited. */
const QUICK_STEP = 3;

/** Smaller pictures are decoded whole: too few pixels would stand for the rest, and little time would be won. */
const QUICK_FROM_PIXELS = 4e6;

/** What a decoder needs to know from Exif, and how to decode. */
export interface RenderedOptions {
  /** Orientation of the stored pixels, 1 to 8. */
  readonly orientation: number;
  /** Null where Exif says nothing. */
  readonly colourSpace: ColourSpace | null;
  /** Take every third pixel across and down of a large JPEG. */
  readonly quick: boolean;
  /** Gamma of the codes where the file names no curve; null for sRGB's curve. */
  readonly gamma: number | null;
}

/**
 * Decodes a JPEG, TIFF, PNG, WebP or AVIF picture in full resolution, keeping its stored codes.
 *
 * No colour conversion is made where the file's profile is curves and colorants: the codes stay the file's own, so that
 * clipping is counted on them, and tables give them light. Where a profile needs an engine, or the picture is CMYK or
 * Lab, it is converted to sRGB first and the frame says so.
 *
 * @param file - an opened picture file
 * @param stated - what Exif says of the pixels, and whether a part of them will do
 * @param given - most pixels, and the time it may take
 * @throws {@link GraderError} `not-a-picture`, `truncated`, `too-large`, `took-too-long`, `unsupported-colour` or
 *   `decode-failed`
 */
export async function decodeRendered(
  file: PictureFile,
  stated: RenderedOptions,
  given: DecodeLimits = {},
): Promise<Frame> {
  const limits = { ...DEFAULT_LIMITS, ...given };
  const { data, info, metadata, plan, notes } = await decodeInTurn(file, stated, limits);
  const sixteen = plan.depth === "ushort";
  const samples = sixteen
    ? new Uint16Array(data.buffer, data.byteOffset, data.length / 2)
    : new Uint8Array(data.buffer, data.byteOffset, data.length);

  // AVIF of 10 or 12 bits arrives in the upper bits of 16: its full scale is below 65535.
  const bits = metadata.format === "heif" ? (metadata.bitsPerSample ?? 8) : sixteen ? 16 : 8;
  const step = sixteen ? exp2(16 - bits) : 1;
  return renderedFrame({
    width: info.width,
    height: info.height,
    samples,
    stride: info.channels,
    bits,
    fullScale: (exp2(bits) - 1) * step,
    // The container of a HEIF picture turns it while it is decoded.
    orientation: metadata.format === "heif" ? 1 : stated.orientation,
    meaning: plan.meaning,
    notes: [...plan.notes, ...notes],
    ...(plan.quickFrom ? { sampledFrom: plan.quickFrom } : {}),
  });
}

/** What a picture is, how it was decoded, and its pixels. */
interface Decoded extends Pixels {
  readonly metadata: Metadata;
  readonly plan: DecodePlan;
}

/**
 * Decodes beside other pictures. Where the decoder refuses, its words may be another picture's, so the picture is decoded
 * once more alone: the same file gets the same answer whatever else is being decoded.
 */
async function decodeInTurn(
  file: PictureFile,
  stated: RenderedOptions,
  limits: Required<DecodeLimits>,
): Promise<Decoded> {
  const inTime = timeKeeper(limits);
  const decode = (decoder: Decoder) => inTime(() => decodeBy(decoder, file, stated, limits));
  try {
    return (
      (await takeBegun(file, stated, limits)) ?? (await DECODER_TURNS.beside(() => decode(STRICT)))
    );
  } catch (error) {
    if (error instanceof GraderError) throw error;
    return DECODER_TURNS.alone(() => decode(TOLERANT));
  }
}

async function decodeBy(
  decoder: Decoder,
  file: PictureFile,
  stated: RenderedOptions,
  limits: Required<DecodeLimits>,
): Promise<Decoded> {
  const { input, done } = await decoderInput(file.input);
  const metadata = await decoder.metadata(input, limits);
  if (metadata.width * metadata.height > 1e6 * limits.maxMegapixels) {
    throw tooLarge(limits.maxMegapixels);
  }
  const plan = await planDecode(file, metadata, stated);
  const decoded = await decoder.pixels(input, plan, limits);
  const isGrey = plan.meaning.curves.length === 1;
  const pixels = isGrey && decoded.info.channels === 4 ? greyAndAlpha(decoded) : decoded;
  done();
  return { metadata, plan, ...pixels };
}

/** What is assumed of a picture whose metadata nobody has read. */
const UNREAD: RenderedOptions = { orientation: 1, colourSpace: null, quick: false, gamma: null };

/** Decodes that began before anybody asked for them, by absolute path. */
const begun = new Map<string, Promise<Decoded>>();

/** Pictures whose decodes begin when those before them have ended and been asked for. */
const following: string[] = [];

/**
 * Begins to decode pictures that will be asked for, while the code that measures them loads. Each is given out once.
 *
 * @param paths - of pictures of the rendered formats, in the order of the run; what is wrong with one shows when it is asked
 *   for
 * @param atOnce - how many are decoded at once; the others follow
 * @returns when the decoders are at work in their own threads
 */
export async function beginDecodings(paths: readonly string[], atOnce: number): Promise<void> {
  following.push(...paths.slice(atOnce));
  await Promise.all(paths.slice(0, atOnce).map(beginDecoding));
}

/** Begins to decode one picture; returns when the decoder is at work. */
async function beginDecoding(path: string): Promise<void> {
  const atWork = new Promise<void>((resolve) => {
    const telling: Decoder = {
      ...STRICT,
      pixels: (...asked) => {
        const pixels = STRICT.pixels(...asked);
        resolve();
        return pixels;
      },
    };
    const decoding = openSource(path).then((file) => {
      const inTime = timeKeeper(DEFAULT_LIMITS);
      return DECODER_TURNS.beside(() =>
        inTime(() => decodeBy(telling, file, UNREAD, DEFAULT_LIMITS)),
      );
    });
    begun.set(absolute(path), decoding);
    decoding.catch(() => resolve());
  });
  await atWork;
}

/**
 * The decode that has begun for a file, where it was made as it is wanted now.
 *
 * @throws what a strict decode throws
 */
async function takeBegun(
  file: PictureFile,
  stated: RenderedOptions,
  limits: Required<DecodeLimits>,
): Promise<Decoded | null> {
  if (begun.size === 0 || typeof file.input !== "string") return null;
  const path = absolute(file.input);
  const decoding = begun.get(path);
  if (!decoding) return null;
  begun.delete(path);
  const { timeLimitSeconds, maxMegapixels } = limits;
  if (!isDeepStrictEqual({ timeLimitSeconds, maxMegapixels }, DEFAULT_LIMITS)) return null;
  const decoded = await decoding.finally(beginFollowing);
  const plan = await planDecode(file, decoded.metadata, stated);
  return isDeepStrictEqual(pixelsOf(plan), pixelsOf(decoded.plan)) ? { ...decoded, plan } : null;
}

/** Keeps the decoder at work while this thread counts what it has just decoded. */
async function beginFollowing(): Promise<void> {
  const next = following.shift();
  if (next !== undefined) await beginDecoding(next);
}

/** What the pixels depend on in a plan. */
function pixelsOf({ space, depth, meaning, quickFrom }: DecodePlan): unknown {
  const converted = meaning.colour.from === "converted";
  return { space, depth, quickFrom, converted, curves: meaning.curves.length };
}

/** A picture's size where it is one to decode quickly: other formats gain nothing by it. */
function quickSize({ format, width, height }: Metadata): DecodePlan["quickFrom"] {
  return format === "jpeg" && width * height >= QUICK_FROM_PIXELS ? { width, height } : null;
}

/** How a picture is to be decoded, and what its codes will then mean. */
interface DecodePlan {
  /** The decoder drops the alpha sample of 8-bit grey, so grey with one is decoded as equal red, green and blue. */
  readonly space: "srgb" | "rgb16" | "b-w" | "grey16";
  readonly depth: "uchar" | "ushort";
  readonly meaning: CodeMeaning;
  readonly notes: readonly Note[];
  /** Size of a picture that is to be decoded quickly. */
  readonly quickFrom: { readonly width: number; readonly height: number } | null;
}

async function planDecode(
  file: PictureFile,
  metadata: Metadata,
  { colourSpace, gamma, quick }: RenderedOptions,
): Promise<DecodePlan> {
  const quickFrom = quick ? quickSize(metadata) : null;
  const sixteen = metadata.depth === "ushort" || metadata.depth === "short";
  const depth = sixteen ? "ushort" : "uchar";
  const grey = metadata.space === "b-w" || metadata.space === "grey16";
  const space = storedSpace({ grey, sixteen, alpha: metadata.hasAlpha });
  const notes: Note[] = [];
  if ((metadata.pages ?? 1) > 1) {
    notes.push({
      code: "first-page-only",
      message: `The file holds ${metadata.pages} pictures; the first is graded.`,
    });
  }
  if (metadata.depth === "float" || metadata.depth === "double" || metadata.depth === "uint") {
    throw new GraderError(
      "unsupported-colour",
      "The picture holds floating-point or 32-bit samples, which Tonefall does not read; export it with 8 or 16 bits",
    );
  }
  const own = statedMeaning({
    format: FORMATS[metadata.format] ?? "tiff",
    model: modelOf(metadata, grey),
    icc: metadata.icc,
    head: await file.head(HEAD_BYTES),
    colourSpace,
    gamma,
  });
  notes.push(...own.notes);
  if (own.meaning) return { space, depth, meaning: own.meaning, notes, quickFrom };
  notes.push({
    code: "converted-to-srgb",
    message: `The picture's colour (${own.named}) was converted to sRGB before measuring; clipping is counted after the conversion.`,
  });
  const description = `${own.named}, converted to sRGB`;
  return {
    space: sixteen ? "rgb16" : "srgb",
    depth,
    meaning: srgb(3, { description, from: "converted" }),
    notes,
    quickFrom,
  };
}

/** Formats whose own words on colour are read, by the decoder's names for them. */
const FORMATS: Readonly<Record<string, PictureFormat>> = {
  jpeg: "jpeg",
  png: "png",
  webp: "webp",
  heif: "avif",
};

function modelOf({ space }: Metadata, grey: boolean): string {
  if (grey) return "grey";
  return space === "srgb" || space === "rgb16" ? "rgb" : space;
}

function storedSpace(of: { grey: boolean; sixteen: boolean; alpha: boolean }): DecodePlan["space"] {
  if (of.grey && of.sixteen) return "grey16";
  if (of.grey && !of.alpha) return "b-w";
  return of.sixteen ? "rgb16" : "srgb";
}

/** Grey and alpha of a picture that was decoded as red, green, blue and alpha. */
function greyAndAlpha({ data, info, notes }: Pixels): Pixels {
  const pixels = info.width * info.height;
  const narrow = Buffer.alloc(2 * pixels);
  for (let i = 0; i < pixels; i++) {
    narrow[2 * i] = data[4 * i] as number;
    narrow[2 * i + 1] = data[4 * i + 3] as number;
  }
  return { data: narrow, info: { ...info, channels: 2 }, notes };
}

interface Pixels {
  readonly data: Buffer;
  readonly info: { readonly width: number; readonly height: number; readonly channels: number };
  readonly notes: readonly Note[];
}

/** The steps of a decode that ask sharp. */
interface Decoder {
  metadata(input: DecoderInput["input"], limits: Required<DecodeLimits>): Promise<Metadata>;
  pixels(
    input: DecoderInput["input"],
    plan: DecodePlan,
    limits: Required<DecodeLimits>,
  ): Promise<Pixels>;
}

/** Accepts no fault, and throws sharp's own errors. */
const STRICT: Decoder = {
  metadata: (input) => sharp(input, { limitInputPixels: false }).metadata(),
  pixels: async (input, plan, limits) => ({
    ...(await decodeAt(input, plan, limits, "warning")),
    notes: [],
  }),
};

/**
 * Explains a fault in our own terms, or accepts it with a note where sharp only warns of it. Use it while no other
 * decode runs, because it reads sharp's messages.
 */
const TOLERANT: Decoder = {
  metadata: async (input, limits) => {
    try {
      return await STRICT.metadata(input, limits);
    } catch (error) {
      throw decodeError(error, limits);
    }
  },
  pixels: async (input, plan, limits) => {
    try {
      return await STRICT.pixels(input, plan, limits);
    } catch (strict) {
      const error = decodeError(strict, limits);
      if (error.code !== "decode-failed") throw error;
      try {
        return {
          ...(await decodeAt(input, plan, limits, "error")),
          notes: [DECODED_WITH_WARNINGS],
        };
      } catch {
        throw error;
      }
    }
  },
};

const DECODED_WITH_WARNINGS: Note = {
  code: "decoded-with-warnings",
  message: "The decoder found small faults in the file and continued; check the picture by eye.",
};

function decodeAt(
  input: DecoderInput["input"],
  { space, depth, meaning, quickFrom }: DecodePlan,
  { timeLimitSeconds }: Required<DecodeLimits>,
  failOn: "warning" | "error",
): Promise<Omit<Pixels, "notes">> {
  const picture = sharp(input, {
    failOn,
    sequentialRead: true,
    ignoreIcc: meaning.colour.from !== "converted",
    // Looked at before, by our own limit.
    limitInputPixels: false,
  });
  return (
    (quickFrom ? everyThirdPixel(picture, quickFrom) : picture)
      // The decoder takes whole seconds, at most an hour; `timeKeeper` keeps the rest.
      .timeout({ seconds: Math.min(Math.ceil(timeLimitSeconds), 3600) })
      .toColourspace(space)
      .raw({ depth })
      .toBuffer({ resolveWithObject: true })
  );
}

/**
 * Measures out the time that one picture may take over all attempts; waiting for a turn does not count.
 *
 * The decoder stops itself between the parts of a picture. Where all of it is one part, the row fails in time and the
 * decoder ends when it can.
 */
function timeKeeper({
  timeLimitSeconds,
}: Required<DecodeLimits>): <T>(work: () => Promise<T>) => Promise<T> {
  let secondsLeft = timeLimitSeconds;
  return async (work) => {
    const start = performance.now();
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<never>((_, reject) => {
      timer = setTimeout(
        () => reject(tookTooLong(timeLimitSeconds)),
        timerDelay(Math.max(0, secondsLeft)),
      );
    });
    try {
      return await Promise.race([work(), late]);
    } finally {
      clearTimeout(timer);
      secondsLeft -= (performance.now() - start) / 1000;
    }
  };
}

/**
 * Picks pixels and averages none: codes are not light, and a mean of them loses what is clipped. To be cut comes first, or
 * the decoder would shrink, and so average, while it reads.
 */
function everyThirdPixel(
  picture: Sharp,
  from: { readonly width: number; readonly height: number },
): Sharp {
  const width = Math.floor(from.width / QUICK_STEP);
  const height = Math.floor(from.height / QUICK_STEP);
  return picture
    .extract({ left: 0, top: 0, width: width * QUICK_STEP, height: height * QUICK_STEP })
    .resize(width, height, { kernel: "nearest", fit: "fill", fastShrinkOnLoad: false });
}

/** The decoder's words are its own and may hold paths; ours say what to do, and keep theirs as the cause. */
function decodeError(cause: unknown, limits: Required<DecodeLimits>): GraderError {
  if (cause instanceof GraderError) return cause;
  const words = String((cause as Error).message);
  if (/timeout/i.test(words)) return tookTooLong(limits.timeLimitSeconds, cause);
  const [code, message] = explain(words);
  return new GraderError(code, message, { cause });
}

function explain(words: string): [GraderError["code"], string] {
  if (/unsupported image format|contains no image/i.test(words)) {
    return ["not-a-picture", NOT_A_PICTURE];
  }
  if (
    /premature end|truncated|libpng read error|bad seek|end of file|unexpected end/i.test(words)
  ) {
    return ["truncated", "The picture is cut short; copy it again from the camera or card"];
  }
  return [
    "decode-failed",
    "The picture is damaged or of an unusual kind and cannot be decoded; export it again",
  ];
}
