import { exp2, log2, SRGB, squared } from "@tonefall/tone-core";
import sharp from "sharp";
import type { BodyMeter } from "./bodyMeter.ts";
import { seededRandom } from "./random.ts";
import type { RenderingCurve } from "./renderingCurve.ts";
import { HEIGHT, WIDTH } from "./simulatedScene.ts";

/** What a camera has beside contrast and middle grey. */
export interface CameraBody {
  readonly curve: RenderingCurve;
  /** Whether each channel goes through the curve, or luminance alone does and the channels keep their ratios. */
  readonly perChannel: boolean;
  /** Light of red, green and blue to that of a neutral: white balance is never exact. Luminance keeps 1. */
  readonly tint: readonly [number, number, number];
  /** Stray light, as a share of the frame's brightest light; it lies over all of the frame. */
  readonly flareShare: number;
  /** What the corners lack, stops, 0 or more. */
  readonly vignettingStops: number;
  /** One standard deviation of a pixel's noise at middle grey, as a share of its light. */
  readonly noise: number;
  /** Where noise starts. */
  readonly noiseSeed: number;
  readonly jpeg: { readonly quality: number; readonly chromaSubsampling: "4:2:0" | "4:4:4" };
  readonly meter: BodyMeter;
}

/**
 * Light into interleaved 8-bit RGB codes.
 *
 * @param tones - stops of the scene, {@link WIDTH} by {@link HEIGHT}
 * @param given - where the settings put an 18 % reflector, stops from middle grey
 * @param addedStops - of an edit: the picture made lighter after the curve
 */
export function bodyCodes(
  body: CameraBody,
  tones: Float64Array,
  given: number,
  addedStops: number,
): Uint8Array {
  const { curve, perChannel, tint, flareShare, noise } = body;
  const random = seededRandom(body.noiseSeed ^ Math.round(1024 * given));
  const flare = flareShare * exp2(given + tones.reduce((most, tone) => Math.max(most, tone)));
  const edit = exp2(addedStops);
  const codes = new Uint8Array(3 * tones.length);
  tones.forEach((tone, pixel) => {
    const light = exp2(tone + given - vignettingAt(body, pixel)) + flare;
    tint.forEach((gain, channel) => {
      const shot = Math.max(0, 1 + random.normal(noise / Math.sqrt(light)));
      const shown = perChannel
        ? curve.shown(log2(light * gain * shot))
        : gain * curve.shown(log2(light * shot));
      codes[3 * pixel + channel] = Math.round(255 * SRGB.encode(Math.min(1, shown * edit)));
    });
  });
  return codes;
}

/** Stops that a pixel lacks: as the square of its distance from the centre, all of it in the corners. */
function vignettingAt({ vignettingStops }: CameraBody, pixel: number): number {
  const x = (pixel % WIDTH) + 0.5 - WIDTH / 2;
  const y = Math.floor(pixel / WIDTH) + 0.5 - HEIGHT / 2;
  return (vignettingStops * (squared(x) + squared(y))) / (squared(WIDTH / 2) + squared(HEIGHT / 2));
}

/** The camera's own JPEG file of codes, by its quality and subsampling. */
export function bodyJpeg({ jpeg }: CameraBody, codes: Uint8Array): Promise<Buffer> {
  const raw = { width: WIDTH, height: HEIGHT, channels: 3 } as const;
  return sharp(codes, { raw }).jpeg(jpeg).toBuffer();
}
