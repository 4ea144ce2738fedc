import { exp2, hypot, log2 } from "@tonefall/tone-core";
import type { Random } from "./random.ts";
import type { Place, SimulatedMetering } from "./simulatedMeter.ts";
import { HEIGHT, WIDTH } from "./simulatedScene.ts";

/** A meter as one maker builds it: sizes, weights and calibration of its own. */
export interface BodyMeter {
  /** What it reads too high by, stops. */
  readonly calibrationStops: number;
  /** Shares of the frame's area. */
  readonly spotShare: number;
  readonly partialShare: number;
  /** Centre-weighted: the circle's share of the area, its weight, and how softly it ends, in circle radii. */
  readonly centre: { readonly share: number; readonly weight: number; readonly softness: number };
  /** Multi-segment: a grid of weights, row by row. */
  readonly segments: { readonly columns: number; readonly weights: readonly number[] };
}

/** A random meter, calibrated to 0.12 stop, one standard deviation. */
export function randomMeter(random: Random): BodyMeter {
  const columns = random.pick([3, 5, 7, 9]);
  const rows = random.pick([3, 5, 7]);
  return {
    calibrationStops: random.normal(0.12),
    spotShare: random.between(0.015, 0.045),
    partialShare: random.between(0.06, 0.13),
    centre: {
      share: random.between(0.08, 0.25),
      weight: random.between(0.6, 0.85),
      softness: random.between(0, 0.6),
    },
    segments: {
      columns,
      weights: Array.from({ length: columns * rows }, () => random.between(0.3, 1.7)),
    },
  };
}

const CENTRE: Place = { x: 0.5, y: 0.5 };

/**
 * What a body's meter reads in a scene, stops from middle grey, its calibration included.
 *
 * @param tones - stops, {@link WIDTH} by {@link HEIGHT}
 * @param spot - where a spot is; the middle unless the photographer moved it
 */
export function meteredBy(
  meter: BodyMeter,
  tones: Float64Array,
  pattern: SimulatedMetering,
  spot: Place = CENTRE,
): number {
  return meter.calibrationStops + log2(weightedLight(tones, weighting(meter, pattern, spot)));
}

/** Weight of a place in fractions of the frame. */
type Weighting = (x: number, y: number) => number;

function weighting(meter: BodyMeter, pattern: SimulatedMetering, spot: Place): Weighting {
  switch (pattern) {
    case "spot":
      return disc(meter.spotShare, spot);
    case "partial":
      return disc(meter.partialShare, CENTRE);
    case "centre-weighted":
      return centreWeighting(meter.centre);
    case "average":
      return () => 1;
    case "multi-segment":
      return segmentWeighting(meter.segments);
  }
}

/** Distance from a place, in radii of a circle with that share of the frame's area. */
function radiiFrom({ x: atX, y: atY }: Place, share: number): Weighting {
  const radius = Math.sqrt((share * WIDTH * HEIGHT) / Math.PI);
  return (x, y) => hypot((x - atX) * WIDTH, (y - atY) * HEIGHT) / radius;
}

function disc(share: number, place: Place): Weighting {
  const radii = radiiFrom(place, share);
  return (x, y) => (radii(x, y) <= 1 ? 1 : 0);
}

function centreWeighting({ share, weight, softness }: BodyMeter["centre"]): Weighting {
  const radii = radiiFrom(CENTRE, share);
  const [inner, outer] = [weight / share, (1 - weight) / (1 - share)];
  return (x, y) => {
    const beyond = softness === 0 ? Number(radii(x, y) > 1) : (radii(x, y) - 1) / softness;
    return inner + (outer - inner) * Math.min(1, Math.max(0, beyond));
  };
}

function segmentWeighting({ columns, weights }: BodyMeter["segments"]): Weighting {
  const rows = weights.length / columns;
  return (x, y) => weights[Math.floor(y * rows) * columns + Math.floor(x * columns)] as number;
}

function weightedLight(tones: Float64Array, weigh: Weighting): number {
  let light = 0;
  let total = 0;
  tones.forEach((tone, pixel) => {
    const weight = weigh(
      ((pixel % WIDTH) + 0.5) / WIDTH,
      (Math.floor(pixel / WIDTH) + 0.5) / HEIGHT,
    );
    light += weight * exp2(tone);
    total += weight;
  });
  return light / total;
}
