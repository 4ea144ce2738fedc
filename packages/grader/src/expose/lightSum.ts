import { squared } from "@tonefall/tone-core";
import type { LinearChannel, LinearPicture } from "../picture/linearPicture.ts";
import { BLOCK_SIDE } from "./lightBlocks.ts";

/** Electrons that fill a pixel, for the shot noise of a sensor whose own figure is not known. Our judgement. */
const FULL_ELECTRONS = 30_000;

/** Read noise as a share of saturation. Our judgement. */
const READ_NOISE = 1 / 4000;

/** Codes of a rendering that say enough of light: below, a step is a tenth of a stop; above, the curve runs into white. */
const [LEAST_RENDERED, MOST_RENDERED] = [16, 240];

/** What a pixel counts for that says little: it is used where no other frame shows it. */
const HARDLY = 1e-9;

/** Steps to an octave of the merged codes: 0.0007 stop. */
const STEPS = 2048;

/** Octaves that the merged codes span. */
const OCTAVES = 32;

/** The code of what is clipped in every frame; the others are light. */
const CLIPPED = 65_535;

/** Bits of a number's mantissa in single precision, and those that a code keeps of it. */
const [MANTISSA, KEPT] = [23, 11];

/**
 * Adds up frames of one scene to one picture of light: each pixel the mean of the frames that show it, by the inverse of
 * their variance [photon and read noise for a sensor, one code for a rendering], in light of the first frame.
 */
export class LightSum {
  readonly #first: LinearPicture;
  readonly #light: Float32Array;
  readonly #weight: Float32Array;
  /** Pixels that the frames seen so far show clipped alone. */
  readonly #clipped: Uint8Array;
  #shortest = 0;

  /** @param first - whose size, colours and units the sum has */
  constructor(first: LinearPicture) {
    const pixels = first.width * first.height;
    // Its pixels are added like any other frame's, and need not be kept.
    this.#first = { ...first, samples: first.samples.subarray(0, 0) };
    this.#light = new Float32Array(first.stride * pixels);
    this.#weight = new Float32Array(pixels);
    this.#clipped = new Uint8Array(pixels);
  }

  /**
   * Adds a frame.
   *
   * @param exposure - how much more light it was given than the first, as a factor
   * @param moved - by block, whether it shows something else there than the frames before; such blocks are left out
   */
  add(picture: LinearPicture, exposure: number, moved: Uint8Array | null): void {
    const { width, height, samples, stride, channels } = picture;
    const middle = channels[stride === 3 ? 1 : 0] as LinearChannel;
    const weights = weightsOf(picture, middle, exposure);
    const tables = channels.map(({ light }) => Float32Array.from(light, (one) => one / exposure));
    const clips = channels.map(({ clipCode }) => clipCode);
    const across = Math.floor(width / BLOCK_SIDE);
    this.#shortest = Math.max(this.#shortest, 1 / exposure);
    for (let y = 0; y < height; y++) {
      const row =
        Math.min(Math.floor(y / BLOCK_SIDE), Math.floor(height / BLOCK_SIDE) - 1) * across;
      for (let x = 0; x < width; x++) {
        const pixel = y * width + x;
        const column = Math.min(Math.floor(x / BLOCK_SIDE), across - 1);
        if (moved && moved[row + column] === 1) continue;
        const at = stride * pixel;
        let clipped = false;
        for (let c = 0; c < stride; c++)
          clipped ||= (samples[at + c] as number) >= (clips[c] as number);
        if (clipped) {
          this.#clipped[pixel] = 1;
          continue;
        }
        const weight = weights[samples[at + (stride === 3 ? 1 : 0)] as number] as number;
        this.#weight[pixel] = (this.#weight[pixel] as number) + weight;
        for (let c = 0; c < stride; c++) {
          const light = (tables[c] as Float32Array)[samples[at + c] as number] as number;
          this.#light[at + c] = (this.#light[at + c] as number) + weight * light;
        }
      }
    }
  }

  /** The picture that the frames come to. */
  picture(): LinearPicture {
    const { stride, channels, middleGrey } = this.#first;
    const most = this.#shortest * Math.max(...channels.map(({ light }) => light.at(-1) as number));
    const codes = new LightCodes(most);
    const samples = new Uint16Array(this.#light.length);
    for (const [pixel, weight] of this.#weight.entries()) {
      for (let c = 0; c < stride; c++) {
        const at = stride * pixel + c;
        samples[at] =
          weight > 0
            ? codes.codeOf((this.#light[at] as number) / weight)
            : this.#clipped[pixel] === 1
              ? CLIPPED
              : 0;
      }
    }
    const merged = channels.map(({ light }): LinearChannel => {
      const table = codes.lights();
      table[CLIPPED] = this.#shortest * (light.at(-1) as number);
      return { light: table, clipCode: CLIPPED, crushCode: 0 };
    });
    return {
      ...this.#first,
      samples,
      middleGrey,
      bits: 16,
      channels: merged as [LinearChannel, LinearChannel, LinearChannel],
    };
  }
}

/** What a pixel counts for by the code of its middle channel: the inverse of its variance in light of the first frame. */
function weightsOf(
  { samples }: LinearPicture,
  { light }: LinearChannel,
  exposure: number,
): Float64Array {
  const rendered = samples instanceof Uint8Array;
  return Float64Array.from(light, (value, code) => {
    if (rendered && (code < LEAST_RENDERED || code > MOST_RENDERED)) return HARDLY;
    const step = (light[Math.min(code + 1, light.length - 1)] as number) - (light[code - 1] ?? 0);
    const variance = rendered
      ? squared(Math.max(step / 2, Number.EPSILON))
      : Math.max(value, 0) / FULL_ELECTRONS + squared(READ_NOISE);
    return squared(exposure) / variance;
  });
}

/** Light as codes of 16 bits in steps that are equal parts of each octave. */
class LightCodes {
  readonly #number = new Float32Array(1);
  readonly #bits: Int32Array;
  readonly #from: number;

  /** @param most - the greatest light */
  constructor(most: number) {
    this.#bits = new Int32Array(this.#number.buffer);
    this.#from = this.#place(most) - (STEPS * OCTAVES - 3);
  }

  /** 0 for light below the least, or none. */
  codeOf(light: number): number {
    if (!(light > 0)) return 0;
    return Math.min(CLIPPED - 1, Math.max(0, this.#place(light) - this.#from));
  }

  /** Light of every code. */
  lights(): Float64Array {
    return Float64Array.from({ length: CLIPPED + 1 }, (_, code) => {
      if (code === 0) return 0;
      this.#bits[0] = (code + this.#from) << (MANTISSA - KEPT);
      return this.#number[0] as number;
    });
  }

  /** Exponent and the first bits of the mantissa, rounded, as one number. */
  #place(light: number): number {
    this.#number[0] = light;
    return ((this.#bits[0] as number) + (1 << (MANTISSA - KEPT - 1))) >> (MANTISSA - KEPT);
  }
}
