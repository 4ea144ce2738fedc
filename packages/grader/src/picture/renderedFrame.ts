import { exp2, MIDDLE_GREY, type ToneChannel, type TransferFunction } from "@tonefall/tone-core";
import { GraderError } from "../model/errors.ts";
import type { Note } from "../model/note.ts";
import type { CodeMeaning } from "./colour/codeMeaning.ts";
import type { Frame } from "./frame.ts";

/** A decoded picture and what its codes mean. */
export interface RenderedPixels {
  readonly width: number;
  readonly height: number;
  /** Interleaved codes. */
  readonly samples: Uint8Array | Uint16Array;
  /** Samples to a pixel; one more than there are curves where an alpha sample follows. */
  readonly stride: number;
  /**
   * Whether samples after the colours hold nothing, as the alpha that a decoder gives to an opaque picture.
   * @default false
   */
  readonly padded?: boolean;
  /** Bits of a sample in the file. */
  readonly bits: number;
  /** The code of full scale. */
  readonly fullScale: number;
  /** Exif orientation of the pixels, 1 where the decoder has turned them. */
  readonly orientation: number;
  readonly meaning: CodeMeaning;
  readonly notes: readonly Note[];
  /** As `Frame` has it. */
  readonly sampledFrom?: NonNullable<Frame["sampledFrom"]>;
}

/**
 * The frame of a rendered picture: its stored codes with tables that give them light.
 *
 * @throws {@link GraderError} `unsupported-colour` when there are more samples to a pixel than colour and alpha
 */
export function renderedFrame(pixels: RenderedPixels): Frame {
  const { width, height, samples, stride, bits, fullScale, orientation, meaning, notes } = pixels;
  const { padded = false } = pixels;
  const tones = meaning.curves.length;
  if (stride !== tones && stride !== tones + 1 && !padded) {
    throw new GraderError(
      "unsupported-colour",
      `Expected ${tones} colour channels but the picture has ${stride}; export it as an RGB or grey picture`,
    );
  }
  return {
    basis: "rendered",
    width,
    height,
    orientation,
    samples,
    stride,
    channels: toneChannels(meaning, exp2(8 * samples.BYTES_PER_ELEMENT), fullScale),
    alphaIndex: stride > tones && !padded ? tones : null,
    bits,
    middleGrey: MIDDLE_GREY,
    // Green stands for all three where curves differ: most of luminance is in it.
    transfer: meaning.curves[tones === 1 ? 0 : 1] ?? null,
    ...(meaning.toSrgb && tones === 3 ? { toSrgb: meaning.toSrgb } : {}),
    colour: meaning.colour,
    sensor: null,
    notes,
    ...(pixels.sampledFrom ? { sampledFrom: pixels.sampledFrom } : {}),
  };
}

function toneChannels(
  { curves, luminanceRow }: CodeMeaning,
  codes: number,
  fullScale: number,
): ToneChannel[] {
  const names = curves.length === 1 ? ["grey"] : ["red", "green", "blue"];
  const tables = new Map(
    [...new Set(curves)].map((curve) => [curve, linearTable(curve, codes, fullScale)]),
  );
  return curves.map((curve, channel) => {
    const share = luminanceRow[channel] as number;
    return {
      name: names[channel] as string,
      luminance: (tables.get(curve) as Float64Array).map((linear) => linear * share),
      clipCode: fullScale,
      crushCode: 0,
    };
  });
}

/** Linear light of every code a sample can hold; codes past full scale, which no picture holds, count as full scale. */
function linearTable(curve: TransferFunction, codes: number, fullScale: number): Float64Array {
  return Float64Array.from({ length: codes }, (_, code) =>
    curve.linearise(Math.min(1, code / fullScale)),
  );
}
