import {
  exp2,
  log2,
  MIDDLE_GREY,
  naturalLog,
  power,
  responseCurve,
  SRGB,
  squared,
} from "@tonefall/tone-core";
import type { Random } from "./random.ts";

/** The formulas by which simulated cameras render. They share nothing but that each rises from black to white. */
export const CURVE_FAMILIES = [
  "logistic",
  "rational-shoulder",
  "filmic",
  "drawn",
  "hard-clip",
  "code-curve",
] as const;

/** One of {@link CURVE_FAMILIES}. */
export type CurveFamily = (typeof CURVE_FAMILIES)[number];

/** What a curve is drawn to. */
export interface CurveAims {
  /** Stops of the picture to a stop of light, at middle grey. */
  readonly contrast: number;
  /** Where it shows middle grey, stops of the picture from 18 %. */
  readonly middleGrey: number;
  /** Stops of light above middle grey that it shows as white. */
  readonly white: number;
}

/** A rendering: what light shows as. */
export interface RenderingCurve {
  readonly family: CurveFamily;
  /** Shown luminance, 0 to 1, of light in stops from middle grey; -Infinity is not light. */
  readonly shown: (stops: number) => number;
}

/** Luminance shown of light in stops; may pass 1, where it is cut. */
type Formula = (stops: number) => number;

/** Formulas by family; null where the aims cannot be met together. */
const FORMULAS: Readonly<Record<CurveFamily, (aims: CurveAims, random: Random) => Formula | null>> =
  {
    logistic,
    "rational-shoulder": rationalShoulder,
    filmic,
    drawn,
    "hard-clip": hardClip,
    "code-curve": codeCurve,
  };

/** Random aims: contrast from 1 to 1.8, white from 2.5 to 3.5 stops. Middle grey as {@link randomMiddleGrey}. */
function randomAims(random: Random): CurveAims {
  return {
    contrast: 1 + 0.4 * (random.between(0, 1) + random.between(0, 1)),
    middleGrey: randomMiddleGrey(random),
    white: random.between(2.5, 3.5),
  };
}

/**
 * Where a camera shows middle grey, stops of the picture from 18 %. Standard output sensitivity allows a third of a stop
 * [ISO12232], and anything within is as likely; how exactly sensor, shutter and aperture keep to their marks adds 0.12 stop.
 */
export function randomMiddleGrey(random: Random): number {
  return random.between(-1 / 3, 1 / 3) + random.normal(0.12);
}

const MOST_DRAWS = 1000;

/** A random curve of a family. What a family cannot do, such as a steep curve with a late white, is drawn again. */
export function randomCurve(
  random: Random,
  family: CurveFamily,
): { readonly curve: RenderingCurve; readonly aims: CurveAims } {
  for (let draw = 0; draw < MOST_DRAWS; draw++) {
    const aims = randomAims(random);
    const formula = FORMULAS[family](aims, random);
    const codes = formula && tabulated(formula);
    if (codes) return { curve: { family, shown: lookUp(codes) }, aims: measuredAims(codes, aims) };
  }
  throw new RangeError(`Expected a curve of the family ${family} but drew none of ${MOST_DRAWS}`);
}

/** The table spans all light that a curve is asked of. */
const FROM_STOPS = -16;
const TO_STOPS = 10;
const STEPS_PER_STOP = 64;

/** The formula's codes, 0 to 1, step by step of light; null where it does not rise. */
function tabulated(formula: Formula): Float64Array | null {
  const codes = new Float64Array((TO_STOPS - FROM_STOPS) * STEPS_PER_STOP + 1);
  for (let step = 0; step < codes.length; step++) {
    const shown = formula(FROM_STOPS + step / STEPS_PER_STOP);
    if (!(shown >= 0)) return null;
    const code = SRGB.encode(Math.min(1, shown));
    if (step > 0 && code < (codes[step - 1] as number)) return null;
    codes[step] = code;
  }
  return codes;
}

function lookUp(codes: Float64Array): RenderingCurve["shown"] {
  return (stops) => {
    if (stops <= FROM_STOPS) return SRGB.linearise((codes[0] as number) * exp2(stops - FROM_STOPS));
    const at = Math.min(stops - FROM_STOPS, TO_STOPS - FROM_STOPS) * STEPS_PER_STOP;
    const below = Math.min(Math.floor(at), codes.length - 2);
    const [from, to] = [codes[below] as number, codes[below + 1] as number];
    return SRGB.linearise(from + (to - from) * (at - below));
  };
}

/** What a curve came to: some formulas bend away from what they were drawn to. */
function measuredAims(codes: Float64Array, { white }: CurveAims): CurveAims {
  const shown = lookUp(codes);
  const stops = (light: number): number => log2(shown(light) / MIDDLE_GREY);
  const first = codes.findIndex((code) => Math.round(255 * code) === 255);
  return {
    contrast: 2 * (stops(0.25) - stops(-0.25)),
    middleGrey: stops(0),
    white: first < 0 ? white : FROM_STOPS + first / STEPS_PER_STOP,
  };
}

const shownMiddle = ({ middleGrey }: CurveAims): number => MIDDLE_GREY * exp2(middleGrey);

/** Slope of the code at middle grey, a stop of light, that a contrast asks for. */
function codeSlope(aims: CurveAims): number {
  const step = 1e-4;
  const middle = shownMiddle(aims);
  const code = (stops: number): number => SRGB.encode(middle * exp2(aims.contrast * stops));
  return (code(step) - code(-step)) / (2 * step);
}

/** A logistic curve of the code over log exposure, cut where it passes white. */
function logistic(aims: CurveAims): Formula | null {
  const middle = SRGB.encode(shownMiddle(aims));
  const slope = codeSlope(aims);
  const curve = (ceiling: number) => {
    const steepness = slope / (middle * (1 - middle / ceiling));
    const odds = ceiling / middle - 1;
    return (stops: number): number => ceiling / (1 + odds * power(Math.E, -steepness * stops));
  };
  const ceiling = solve((top) => curve(top)(aims.white) - 1, 1.0001, 20);
  if (ceiling === null) return null;
  const code = curve(ceiling);
  return (stops) => SRGB.linearise(Math.min(1, code(stops)));
}

/** A power of light, bent by a rational shoulder in linear light. */
function rationalShoulder(aims: CurveAims): Formula | null {
  const middle = shownMiddle(aims);
  const curve = (bend: number) => {
    const contrast = aims.contrast * (1 + bend);
    return (stops: number): number => {
      const light = exp2(contrast * stops);
      return (middle * (1 + bend) * light) / (1 + bend * light);
    };
  };
  const most = middle / (1 - middle);
  const bend = solve((b) => curve(b)(aims.white) - 1, 0, most * 0.9999);
  return bend === null ? null : curve(bend);
}

/** A quotient of quadratics in linear light: a toe that eases to plain light, and a shoulder. */
function filmic(aims: CurveAims, random: Random): Formula | null {
  const middle = shownMiddle(aims);
  const toe = exp2(random.between(-5, 0));
  const bent = (2 + toe) / (1 + toe) - aims.contrast;
  if (bent <= 0) return null;
  const scale = middle / (bent * (1 + toe));
  const white = exp2(aims.white);
  const shownOfWhite = scale * white * (white + toe);
  const linear =
    (squared(white) + 2 / bent - 1 - 2 * shownOfWhite) / (shownOfWhite - white - 1 / bent + 1);
  const constant = (2 + linear) / bent - 1 - linear;
  const gain = scale * (2 + linear);
  if (!(constant > 0 && gain > 0)) return null;
  return (stops) => {
    const light = exp2(stops);
    const divisor = light * (light + linear) + constant;
    if (divisor <= 0) return Number.NaN;
    // Past white it may turn back; there it is white already.
    if (stops >= aims.white) return 1;
    return (gain * light * (light + toe)) / divisor;
  };
}

/** A smooth curve through points drawn by hand, code over stops, each as far from the last as somebody liked. */
function drawn(aims: CurveAims, random: Random): Formula | null {
  const { contrast, middleGrey, white } = aims;
  const shadows = random.between(0.75, 1.1) * contrast;
  const lights = random.between(0.45, 0.8);
  const codeOf = (stops: number): number => 255 * SRGB.encode(MIDDLE_GREY * exp2(stops));
  const middle = codeOf(middleGrey);
  const upper = codeOf(middleGrey + contrast);
  const points = [
    { stops: -9, code: codeOf(middleGrey - 1.5 * contrast - 7.5 * shadows) },
    { stops: -5, code: codeOf(middleGrey - 1.5 * contrast - 3.5 * shadows) },
    { stops: -3, code: codeOf(middleGrey - 1.5 * contrast - 1.5 * shadows) },
    { stops: -1.5, code: codeOf(middleGrey - 1.5 * contrast) },
    { stops: -0.5, code: codeOf(middleGrey - 0.5 * contrast) },
    { stops: 0, code: middle },
    { stops: 0.5, code: codeOf(middleGrey + 0.5 * contrast) },
    { stops: 1, code: upper },
    { stops: (1 + white) / 2, code: upper + (255 - upper) * lights },
    { stops: white, code: 255 },
  ];
  const rises = points.every(({ code }, i) => i === 0 || code > (points[i - 1]?.code ?? 0));
  if (!rises) return null;
  const { codeAt } = responseCurve(points);
  return (stops) => (stops >= white ? 1 : SRGB.linearise(Math.min(1, codeAt(stops) / 255)));
}

/** Plain sRGB, or nearly: straight in stops until white cuts it off. It keeps no shoulder, so white comes early. */
function hardClip({ contrast, middleGrey }: CurveAims): Formula | null {
  if (contrast > 1.3) return null;
  return (stops) => MIDDLE_GREY * exp2(contrast * stops + middleGrey);
}

/** sRGB with its white moved up, the codes brightened by a power and bent by a cubic. */
function codeCurve(aims: CurveAims): Formula | null {
  const middle = SRGB.encode(shownMiddle(aims));
  const slope = codeSlope(aims);
  const plain = (stops: number): number => SRGB.encode(Math.min(1, exp2(stops - aims.white)));
  const curve = (bend: number) => {
    const bent = (code: number): number =>
      (1 - bend) * code + bend * squared(code) * (3 - 2 * code);
    const base = solve((code) => bent(code) - middle, 0.01, 0.99);
    if (base === null) return null;
    const exponent = naturalLog(base) / naturalLog(plain(0));
    return (stops: number): number => bent(power(plain(stops), exponent));
  };
  const step = 1e-3;
  const excess = (bend: number): number => {
    const code = curve(bend);
    return code ? (code(step) - code(-step)) / (2 * step) - slope : Number.NaN;
  };
  const bend = solve(excess, -0.4, 1);
  const code = bend === null ? null : curve(bend);
  return code && ((stops) => SRGB.linearise(Math.min(1, code(stops))));
}

/** Where a function that changes sign once between two ends is 0; null where it keeps its sign. */
function solve(of: (x: number) => number, from: number, to: number): number | null {
  let [low, high] = [from, to];
  const sign = Math.sign(of(low));
  if (!(sign * of(high) < 0)) return null;
  for (let halving = 0; halving < 60; halving++) {
    const middle = (low + high) / 2;
    if (Math.sign(of(middle)) === sign) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
