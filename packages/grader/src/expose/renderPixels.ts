import { exp2, LUMINANCE_ROWS, MIDDLE_GREY } from "@tonefall/tone-core";
import type { LinearPicture } from "../picture/linearPicture.ts";
import { ditherTile, TILE_SIDE } from "./ditherTile.ts";
import type { RenderingCurve } from "./renderingCurve.ts";

/** What became of the pixels of a made frame. */
export interface RenderedPixels {
  /** Codes of 8 bits, red, green and blue to a pixel, as stored. */
  readonly samples: Uint8Array;
  /** Pixels with a channel at the lightest code, as in a JPEG that a camera writes. */
  readonly clippedPixels: number;
  /** Pixels of which all channels are black. */
  readonly blackPixels: number;
}

/** Places of the table of codes between black and white: a twentieth of a code apart where that is steepest. */
const CODE_STEPS = 131_072;

/** A code is kept in parts of this many while it is rounded. */
const PARTS = 256;

/**
 * Beyond this share of saturation in every channel a pixel with one clipped channel is white light: its colour is not
 * known, and a darker exposure must not make one up. Our judgement.
 */
const WHITE_LIGHT = 0.5;

/**
 * Makes the pixels of one exposure.
 *
 * Light is multiplied by the exposure, and each channel ends where a sensor's does. What was clipped in the capture stays
 * clipped however dark the frame. Colours that sRGB does not hold are paled towards the grey of their own luminance, so
 * that no tone shifts. Codes are rounded up or down by a fixed pattern of one code, the same for the three channels, so
 * that the mean of an even tone is not rounded with it.
 *
 * @param stops - exposure against the capture's own; + is lighter
 */
export function renderPixels(
  picture: LinearPicture,
  stops: number,
  curve: RenderingCurve,
): RenderedPixels {
  const { width, height, samples: codes, stride, channels, toSrgb } = picture;
  const scale = (exp2(stops) * MIDDLE_GREY) / picture.middleGrey;
  const { white } = curve;
  const [red, green, blue] = channels.map((channel) => exposedLight(channel, scale, white)) as [
    Float32Array,
    Float32Array,
    Float32Array,
  ];
  const [redWhite, greenWhite, blueWhite] = channels.map(whiteLightCode) as [
    number,
    number,
    number,
  ];
  const [redClip, greenClip, blueClip] = channels.map(({ clipCode }) => clipCode) as [
    number,
    number,
    number,
  ];
  const [m0, m1, m2, m3, m4, m5, m6, m7, m8] = toSrgb as [
    ...[number, number, number],
    ...[number, number, number],
    ...[number, number, number],
  ];
  const [redShare, greenShare, blueShare] = LUMINANCE_ROWS.srgb;
  const tones = curve.tone && toneTable(curve.tone, white);
  const [redCodes, greenCodes, blueCodes] = codeTables(curve);
  const perLight = CODE_STEPS / white;
  const tile = ditherTile();
  const [second, third] = stride === 3 ? [1, 2] : [0, 0];

  const samples = new Uint8Array(3 * width * height);
  let clippedPixels = 0;
  let blackPixels = 0;
  let from = 0;
  let to = 0;
  for (let y = 0; y < height; y++) {
    const tileRow = (y % TILE_SIDE) * TILE_SIDE;
    for (let x = 0; x < width; x++, from += stride, to += 3) {
      const redCode = codes[from] as number;
      const greenCode = codes[from + second] as number;
      const blueCode = codes[from + third] as number;
      let r: number;
      let g: number;
      let b: number;
      const clipped = redCode >= redClip || greenCode >= greenClip || blueCode >= blueClip;
      if (clipped && redCode >= redWhite && greenCode >= greenWhite && blueCode >= blueWhite) {
        r = white;
        g = white;
        b = white;
      } else {
        const lightRed = red[redCode] as number;
        const lightGreen = green[greenCode] as number;
        const lightBlue = blue[blueCode] as number;
        r = m0 * lightRed + m1 * lightGreen + m2 * lightBlue;
        g = m3 * lightRed + m4 * lightGreen + m5 * lightBlue;
        b = m6 * lightRed + m7 * lightGreen + m8 * lightBlue;
        // Most pixels of most frames are colours of sRGB as they are.
        if (tones !== null || isOutside(r, g, b, white)) {
          let luminance = redShare * r + greenShare * g + blueShare * b;
          const least = r < g ? Math.min(r, b) : Math.min(g, b);
          if (least < 0) {
            const paling = luminance > 0 ? luminance / (luminance - least) : 0;
            const grey = Math.max(luminance, 0);
            r = grey + paling * (r - grey);
            g = grey + paling * (g - grey);
            b = grey + paling * (b - grey);
            luminance = grey;
          }
          if (tones !== null && luminance > 0) {
            const place = luminance * tones.perLuminance;
            const factor =
              place < TONE_STEPS ? (tones.factors[place | 0] as number) : white / luminance;
            r *= factor;
            g *= factor;
            b *= factor;
            luminance *= factor;
          }
          const most = r > g ? Math.max(r, b) : Math.max(g, b);
          if (most > white) {
            const paling = luminance < white ? (white - luminance) / (most - luminance) : 0;
            const grey = Math.min(luminance, white);
            r = grey + paling * (r - grey);
            g = grey + paling * (g - grey);
            b = grey + paling * (b - grey);
          }
        }
      }
      const noise = tile[tileRow + (x & (TILE_SIDE - 1))] as number;
      const shownRed = ((redCodes[(r * perLight + 0.5) | 0] as number) + noise) >> 8;
      const shownGreen = ((greenCodes[(g * perLight + 0.5) | 0] as number) + noise) >> 8;
      const shownBlue = ((blueCodes[(b * perLight + 0.5) | 0] as number) + noise) >> 8;
      samples[to] = shownRed;
      samples[to + 1] = shownGreen;
      samples[to + 2] = shownBlue;
      if (shownRed === 255 || shownGreen === 255 || shownBlue === 255) clippedPixels++;
      else if ((shownRed | shownGreen | shownBlue) === 0) blackPixels++;
    }
  }
  return { samples, clippedPixels, blackPixels };
}

/** Whether a colour has a channel below black or above white. */
function isOutside(r: number, g: number, b: number, white: number): boolean {
  return r < 0 || g < 0 || b < 0 || r > white || g > white || b > white;
}

/** Light of every code in this exposure; a code that is clipped in the capture gives white light at least. */
function exposedLight(
  { light, clipCode }: LinearPicture["channels"][number],
  scale: number,
  white: number,
): Float32Array {
  return Float32Array.from(light, (value, code) =>
    code >= clipCode ? Math.max(scale * value, white) : scale * value,
  );
}

/** The lowest code whose light is near saturation. */
function whiteLightCode({ light }: LinearPicture["channels"][number]): number {
  const code = light.findIndex((value) => value >= WHITE_LIGHT);
  return code < 0 ? light.length : code;
}

/** Places of the table of tones: luminance up to twice white; beyond it, white. */
const TONE_STEPS = 65_536;

/** What luminance is multiplied by for its tone. */
function toneTable(
  tone: (luminance: number) => number,
  white: number,
): { readonly factors: Float32Array; readonly perLuminance: number } {
  const perLuminance = TONE_STEPS / (2 * white);
  const factors = Float32Array.from({ length: TONE_STEPS }, (_, step) => {
    const luminance = (step + 0.5) / perLuminance;
    return tone(luminance) / luminance;
  });
  return { factors, perLuminance };
}

const CODE_TABLES = new WeakMap<(light: number) => number, Uint16Array>();

/** Codes by light, in parts of a code, for red, green and blue; made once for each curve. */
function codeTables({ codeOf, white }: RenderingCurve): [Uint16Array, Uint16Array, Uint16Array] {
  return codeOf.map((code) => {
    const table =
      CODE_TABLES.get(code) ??
      Uint16Array.from({ length: CODE_STEPS + 2 }, (_, step) =>
        Math.round(PARTS * code(Math.min(white, (step * white) / CODE_STEPS))),
      );
    CODE_TABLES.set(code, table);
    return table;
  }) as [Uint16Array, Uint16Array, Uint16Array];
}
