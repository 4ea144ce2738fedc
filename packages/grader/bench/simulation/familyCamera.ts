import { exp2, LUMINANCE_ROWS, MIDDLE_GREY, power } from "@tonefall/tone-core";
import { randomMeter } from "./bodyMeter.ts";
import type { CameraBody } from "./cameraBody.ts";
import type { Random } from "./random.ts";
import { type CurveFamily, randomCurve } from "./renderingCurve.ts";
import type { SimulatedCamera } from "./simulatedCamera.ts";

/** A camera of a family: a {@link SimulatedCamera} that the grader's assumptions were not made from. */
export interface FamilyCamera extends SimulatedCamera {
  readonly body: CameraBody;
}

/**
 * A random camera whose rendering is of one family, so that families can be held out.
 *
 * Contrast runs from 1 to 1.8, flare from 10^-3.6 to 10^-2.5, vignetting to 0.8 stop; its meter has weights, sizes and a
 * calibration of its own. It goes wherever a {@link SimulatedCamera} goes: `takeAndGrade` renders through its body. To
 * meter with it, use `meteredBy(camera.body.meter, tones, pattern)` in place of `simulatedReading`; for the light that
 * renders a tone as wanted use {@link lightShownAs}, in place of dividing by its contrast.
 *
 * @example
 * ```ts
 * const random = seededRandom(1);
 * const camera = familyCamera(random, random.pick(CURVE_FAMILIES));
 * const scene = underUnevenLight(random, simulatedScene(random, -2, 0.5));
 * const reading = meteredBy(camera.body.meter, scene.tones, "spot");
 * const shot = { scene, camera, place: simulatedPlace(random), exposure: -reading, record: { mode: "auto" } };
 * const row = takeAndGrade(shot, await blankRecord());
 * ```
 */
export function familyCamera(random: Random, family: CurveFamily): FamilyCamera {
  const { curve, aims } = randomCurve(random, family);
  return {
    model: `Camera ${Math.floor(random.between(1, 1000))}`,
    contrast: aims.contrast,
    middleGrey: aims.middleGrey,
    body: {
      curve,
      perChannel: random.chance(0.5),
      tint: randomTint(random),
      flareShare: power(10, random.between(-3.6, -2.5)),
      vignettingStops: random.between(0, 0.8),
      noise: random.between(0.005, 0.04),
      noiseSeed: Math.floor(random.between(0, 2 ** 32)),
      jpeg: {
        quality: Math.round(random.between(72, 98)),
        chromaSubsampling: random.pick(["4:2:0", "4:4:4"]),
      },
      meter: randomMeter(random),
    },
  };
}

/** Red and blue astray from green by 0.1 stop, one standard deviation. */
function randomTint(random: Random): [number, number, number] {
  const gains = [exp2(random.normal(0.1)), 1, exp2(random.normal(0.1))];
  const luminance = gains.reduce(
    (sum, gain, channel) => sum + gain * (LUMINANCE_ROWS.srgb[channel] as number),
    0,
  );
  return gains.map((gain) => gain / luminance) as [number, number, number];
}

/** Stops of light from middle grey that a camera shows as so many stops of the picture from middle grey. */
export function lightShownAs(
  { contrast, middleGrey, body }: SimulatedCamera,
  shown: number,
): number {
  if (!body) return (shown - middleGrey) / contrast;
  const wanted = MIDDLE_GREY * exp2(shown);
  let [low, high] = [-14, 8];
  for (let halving = 0; halving < 40; halving++) {
    const middle = (low + high) / 2;
    if (body.curve.shown(middle) < wanted) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
