import { squared } from "@tonefall/tone-core";
import type { LinearChannel, LinearPicture } from "../picture/linearPicture.ts";
import { NO_SHIFT, type Shift } from "./frameShift.ts";
import { BLOCK_SIDE } from "./lightBlocks.ts";
import { isRendered, isTelling } from "./tellingCodes.ts";

/** Electrons that fill a pixel, for the shot noise of a sensor whose own figure is not known. Our judgement. */
const FULL_ELECTRONS = 30_000;

/** Read noise as a share of saturation. Our judgement. */
const READ_NOISE = 1 / 4000;

/** What a code counts for that says little: it is used where no other frame shows the pixel. */
const HARDLY = 1e-9;

/** A sensor bends before it is full: beyond this share of its range it counts where no other frame shows the pixel. Our judgement. */
const NEARLY_FULL = 0.85;

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
 *
 * The colours of a rendering are weighed each by its own code: red may run into white while green says most.
 */
export class LightSum {
  readonly #first: LinearPicture;
  readonly #light: Float32Array;
  readonly #weight: Float32Array;
  /** Weights to a pixel. */
  readonly #weights: number;
  /** Pixels that the frames seen so far show clipped alone. */
  readonly #clipped: Uint8Array;
  #shortest = 0;

  /** @param first - whose size, colours and units the sum has */
  constructor(first: LinearPicture) {
    const pixels = first.width * first.height;
    // Its pixels are added like any other frame's, and need not be kept.
    this.#first = { ...first, samples: first.samples.subarray(0, 0) };
    this.#weights = isRendered(first) ? first.stride : 1;
    this.#light = new Float32Array(first.stride * pixels);
    this.#weight = new Float32Array(this.#weights * pixels);
    this.#clipped = new Uint8Array(pixels);
  }

  /**
   * Adds a frame.
   *
   * @param exposure - how much more light it was given than the first, as a factor
   * @param moved - by block, whether it shows something else there than the frames before; such blocks are left out
   * @param shift - how far its content lies from that of the first
   */
  add(
    picture: LinearPicture,
    exposure: number,
    moved: Uint8Array | null,
    shift: Shift = NO_SHIFT,
  ): void {
    const { width, height, samples, stride, channels } = picture;
    const clips = channels.map(({ clipCode }) => clipCode);
    const across = Math.floor(width / BLOCK_SIDE);
    const lastRow = Math.floor(height / BLOCK_SIDE) - 1;
    const added: Added = {
      ...{ samples, stride, seen: pixelsSeen(shift, width, stride) },
      weights: weightTables(picture, this.#weights, exposure),
      nearlyFull: channels.map(nearlyFullCode),
      tables: channels.map(({ light }) => Float32Array.from(light, (one) => one / exposure)),
    };
    this.#shortest = Math.max(this.#shortest, 1 / exposure);
    const [firstY, lastY] = within(shift.down, height);
    const [firstX, lastX] = within(shift.right, width);
    for (let y = firstY; y <= lastY; y++) {
      const row = Math.min(Math.floor(y / BLOCK_SIDE), lastRow) * across;
      for (let x = firstX; x <= lastX; x++) {
        if (moved?.[row + Math.min(Math.floor(x / BLOCK_SIDE), across - 1)] === 1) continue;
        const pixel = y * width + x;
        if (isClipped(added, stride * pixel, clips)) this.#clipped[pixel] = 1;
        else this.#addPixel(added, pixel);
      }
    }
  }

  #addPixel(added: Added, pixel: number): void {
    const { samples, stride, seen, tables, weights } = added;
    const at = stride * pixel;
    const nearest = at + (seen[0] as SeenPixel).from;
    const own = this.#weights;
    const hardly = own === 1 && isNearlyFull(added, nearest);
    let weight = 0;
    for (let c = 0; c < stride; c++) {
      // A sensor's pixel counts by its green, in which most of its light is.
      if (c < own) {
        const code = samples[nearest + (own === 1 && stride === 3 ? 1 : c)] as number;
        weight = (hardly ? HARDLY : 1) * ((weights[c] as Float64Array)[code] as number);
        const place = own * pixel + c;
        this.#weight[place] = (this.#weight[place] as number) + weight;
      }
      const table = tables[c] as Float32Array;
      let light = 0;
      for (let i = 0; i < seen.length; i++) {
        const { from, share } = seen[i] as SeenPixel;
        light += share * (table[samples[at + from + c] as number] as number);
      }
      this.#light[at + c] = (this.#light[at + c] as number) + weight * light;
    }
  }

  /** The picture that the frames come to. */
  picture(): LinearPicture {
    const { stride, channels } = this.#first;
    const most = this.#shortest * Math.max(...channels.map(({ light }) => light.at(-1) as number));
    const codes = new LightCodes(most);
    const samples = new Uint16Array(this.#light.length);
    for (const [pixel, clipped] of this.#clipped.entries()) {
      for (let c = 0; c < stride; c++) {
        const at = stride * pixel + c;
        const weight = this.#weight[this.#weights === 1 ? pixel : at] as number;
        samples[at] =
          weight > 0
            ? codes.codeOf((this.#light[at] as number) / weight)
            : clipped === 1
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
      bits: 16,
      channels: merged as [LinearChannel, LinearChannel, LinearChannel],
    };
  }
}

/** What a frame's pixel is added from. */
interface Added extends Pick<LinearPicture, "samples" | "stride"> {
  readonly seen: readonly SeenPixel[];
  readonly tables: readonly Float32Array[];
  readonly weights: readonly Float64Array[];
  /** Codes from which each colour bends. */
  readonly nearlyFull: readonly number[];
}

/** A pixel of a shifted frame that a pixel of the sum lies on. */
interface SeenPixel {
  /** Where its samples begin, from those of the sum's pixel. */
  readonly from: number;
  /** Share of the sum's pixel that it covers. */
  readonly share: number;
}

function isClipped(
  { samples, stride, seen }: Added,
  at: number,
  clips: readonly number[],
): boolean {
  for (let i = 0; i < seen.length; i++) {
    const from = at + (seen[i] as SeenPixel).from;
    for (let c = 0; c < stride; c++) {
      if ((samples[from + c] as number) >= (clips[c] as number)) return true;
    }
  }
  return false;
}

function isNearlyFull({ samples, stride, nearlyFull }: Added, at: number): boolean {
  for (let c = 0; c < stride; c++) {
    if ((samples[at + c] as number) >= (nearlyFull[c] as number)) return true;
  }
  return false;
}

function nearlyFullCode({ light, clipCode }: LinearChannel): number {
  const full = light[Math.min(clipCode, light.length - 1)] as number;
  return light.findIndex((value) => value >= NEARLY_FULL * full);
}

/** The pixels of a shifted frame under each of the sum's, the nearest first. */
function pixelsSeen({ right, down }: Shift, width: number, stride: number): readonly SeenPixel[] {
  const [x, y] = [Math.floor(right), Math.floor(down)];
  const [partX, partY] = [right - x, down - y];
  return [
    { from: stride * (y * width + x), share: (1 - partX) * (1 - partY) },
    { from: stride * (y * width + x + 1), share: partX * (1 - partY) },
    { from: stride * ((y + 1) * width + x), share: (1 - partX) * partY },
    { from: stride * ((y + 1) * width + x + 1), share: partX * partY },
  ]
    .filter(({ share }) => share > 0)
    .sort((a, b) => b.share - a.share);
}

/** The first and the last place along a side whose pixels a shifted frame holds. */
function within(shift: number, length: number): readonly [number, number] {
  return [Math.max(0, -Math.floor(shift)), Math.min(length, length - Math.ceil(shift)) - 1];
}

/** What a pixel counts for by its code, of each colour, or of the middle one for all. */
function weightTables(picture: LinearPicture, weights: number, exposure: number): Float64Array[] {
  const { channels, stride } = picture;
  const rendered = isRendered(picture);
  const weighed = weights === 1 ? [channels[stride === 3 ? 1 : 0]] : channels;
  return weighed.map((channel) => weightsOf(channel as LinearChannel, exposure, rendered));
}

/** The inverse of a code's variance in light of the first frame. */
function weightsOf({ light }: LinearChannel, exposure: number, rendered: boolean): Float64Array {
  return Float64Array.from(light, (value, code) => {
    const step = (light[Math.min(code + 1, light.length - 1)] as number) - (light[code - 1] ?? 0);
    const variance = rendered
      ? squared(Math.max(step / 2, Number.EPSILON))
      : Math.max(value, 0) / FULL_ELECTRONS + squared(READ_NOISE);
    const tells = !rendered || isTelling(code);
    return ((tells ? 1 : HARDLY) * squared(exposure)) / variance;
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
