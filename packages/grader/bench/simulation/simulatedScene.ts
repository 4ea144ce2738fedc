import { cosine } from "@tonefall/tone-core";
import type { Random } from "./random.ts";

/** Pixels of a simulated frame: enough for every metering pattern to have its share. */
export const WIDTH = 60;
export const HEIGHT = 40;

/** A scene: what it reflects, and where its subject is. */
export interface SimulatedScene {
  /** Tone of every pixel, stops from an 18 % reflector, row by row. */
  readonly tones: Float64Array;
  /** The subject's own tone, and so its placement. */
  readonly subject: number;
  /** The subject's box in fractions of the frame, within the spot. */
  readonly region: string;
}

/**
 * A subject in the middle, its surroundings, and a strip of another tone at the top, each of a plain tone with some
 * texture. Tones run from black cloth to snow.
 *
 * @param subject - tone of the subject, stops from middle grey
 * @param surroundings - tone of what surrounds it
 */
export function simulatedScene(
  random: Random,
  subject: number,
  surroundings: number,
): SimulatedScene {
  const strip = { tone: random.between(-3, 2.2), rows: HEIGHT * random.between(0, 0.25) };
  const [across, down] = [random.between(0.24, 0.6) / 2, random.between(0.3, 0.6) / 2];
  const tones = Float64Array.from({ length: WIDTH * HEIGHT }, (_, pixel) => {
    const [column, row] = [pixel % WIDTH, Math.floor(pixel / WIDTH)];
    const inside =
      Math.abs((column + 0.5) / WIDTH - 0.5) < across &&
      Math.abs((row + 0.5) / HEIGHT - 0.5) < down;
    const tone = inside ? subject : row < strip.rows ? strip.tone : surroundings;
    return tone + random.between(-0.15, 0.15);
  });
  return { tones, subject, region: "box:0.4,0.4,0.2,0.2" };
}

/** Light falls off across a scene by up to this many stops from edge to edge. */
const MOST_GRADIENT_STOPS = 0.8;

/** The same scene in light that falls off to one side; in the middle of the frame it is as it was. */
export function underUnevenLight(random: Random, scene: SimulatedScene): SimulatedScene {
  const stops = random.between(0, MOST_GRADIENT_STOPS);
  const angle = random.between(0, 2 * Math.PI);
  const [across, down] = [stops * cosine(angle), stops * cosine(angle - Math.PI / 2)];
  const tones = scene.tones.map((tone, pixel) => {
    const x = ((pixel % WIDTH) + 0.5) / WIDTH - 0.5;
    const y = (Math.floor(pixel / WIDTH) + 0.5) / HEIGHT - 0.5;
    return tone + across * x + down * y;
  });
  return { ...scene, tones };
}
