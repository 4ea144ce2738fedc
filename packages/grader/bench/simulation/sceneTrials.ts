import { exp2, log2 } from "@tonefall/tone-core";
import type { FrameResult } from "../../src/model/result.ts";
import { gradeFrame } from "../../src/run/gradeFrame.ts";
import { bodyCodes, bodyJpeg } from "./cameraBody.ts";
import { familyCamera } from "./familyCamera.ts";
import { type Random, seededRandom } from "./random.ts";
import type { CurveFamily } from "./renderingCurve.ts";
import type { SceneClaim } from "./sceneCoverage.ts";
import { HEIGHT, simulatedScene, underUnevenLight, WIDTH } from "./simulatedScene.ts";

/** A graded JPEG of a simulated camera, beside the light that it was taken of. */
export interface SceneTrial {
  readonly family: CurveFamily;
  /** Light of the region, stops from what the settings place at middle grey. */
  readonly light: number;
  /** Placed at `light`, or `over` stops below it, which is then the size of the miss. */
  readonly row: FrameResult;
}

/** What to try. */
export interface SceneTrialOptions {
  readonly families: readonly CurveFamily[];
  /** Cameras of each family. */
  readonly cameras: number;
  /** Stops of light from middle grey, each taken by every camera. */
  readonly stops: readonly number[];
  readonly basis: "rendered" | "scene";
  /**
   * By how much the light misses its placement, stops.
   * @default 0
   */
  readonly over?: number;
  /** The same seed gives the same trials. */
  readonly seed: number;
}

/**
 * Grades JPEGs of simulated cameras whose light is known: a subject in surroundings of another tone, in uneven light,
 * exposed so that it falls where it is to be tried. Each is encoded by its camera, then read and graded as any file is.
 */
export async function* sceneTrials({
  families,
  cameras,
  stops,
  basis,
  over = 0,
  seed,
}: SceneTrialOptions): AsyncGenerator<SceneTrial> {
  const random = seededRandom(seed);
  for (let trial = 0; trial < cameras; trial++) {
    for (const family of families) {
      const { body } = familyCamera(random, family);
      for (const aim of stops) {
        const { tones, region, given } = exposedScene(random, aim);
        const light = regionLight(tones) + given;
        const file = await bodyJpeg(body, bodyCodes(body, tones, given, 0));
        const row = await gradeFrame(file, { place: light - over, region, basis });
        yield { family, light, row };
      }
    }
  }
}

/** A random scene, and the exposure that lets its subject fall where it is aimed. */
function exposedScene(random: Random, aim: number) {
  const subject = random.between(-3, 2);
  const surroundings = random.between(-3, 2.2);
  const scene = underUnevenLight(random, simulatedScene(random, subject, surroundings));
  return { ...scene, given: aim - subject };
}

/** Mean light of the subject's box, stops: of each scene's middle fifth, as its region says. */
function regionLight(tones: Float64Array): number {
  let light = 0;
  let pixels = 0;
  tones.forEach((tone, pixel) => {
    const x = ((pixel % WIDTH) + 0.5) / WIDTH;
    const y = (Math.floor(pixel / WIDTH) + 0.5) / HEIGHT;
    if (Math.abs(x - 0.5) > 0.1 || Math.abs(y - 0.5) > 0.1) return;
    light += exp2(tone);
    pixels++;
  });
  return log2(light / pixels);
}

/** What a trial claims of its light; null where it makes no claim. */
export function claimOf({ light, row: { fall, error } }: SceneTrial): SceneClaim | null {
  if (!fall || !error) return null;
  return { light, stops: fall.stops, uncertainty: error.uncertainty, bound: fall.bound };
}
