import {
  luminanceAtStops,
  MIDDLE_GREY,
  power,
  responseCurve,
  SENSOR_MIDDLE_GREY,
  SRGB,
} from "@tonefall/tone-core";
import type { NamedKit } from "../kit/kit.ts";
import { type CameraKit, kitPoints } from "../kit/kit.ts";
import { GraderError } from "../model/errors.ts";

/** How light becomes the codes of a made frame. */
export interface RenderingCurve {
  /** As it is asked for: `plain`, `print`, or `kit:` and the kit's file name. */
  readonly name: string;
  /** One plain sentence for metadata and captions. */
  readonly description: string;
  /** Luminance that the frame shows of a scene's, middle grey being 0.18; null where channels are encoded as they are. */
  readonly tone: ((luminance: number) => number) | null;
  /** The light of a channel that is the lightest code. */
  readonly white: number;
  /** Code of each channel's light, 0 to 255, in fractions: red, green, blue. */
  readonly codeOf: readonly ((light: number) => number)[];
}

/** sRGB and nothing else: a stop of light is a stop of the picture, up to white 2.47 stops above middle grey. */
export const PLAIN: RenderingCurve = {
  name: "plain",
  description: "sRGB and nothing else: a stop of light is a stop in the picture.",
  tone: null,
  white: 1,
  codeOf: [srgbCode, srgbCode, srgbCode],
};

/** Luminance up to which `print` leaves tones as they are: a stop above middle grey. Our choice. */
const KNEE: number = 2 * MIDDLE_GREY;

/** Luminance that `print` shows as white: where a sensor saturates whose middle grey lies at 10/78 [ISO-12232]. */
const SATURATION: number = MIDDLE_GREY / SENSOR_MIDDLE_GREY;

/** With this power the shoulder leaves the knee as steep as it arrives there. */
const SHOULDER: number = (SATURATION - KNEE) / (1 - KNEE);

/**
 * sRGB with a shoulder: tones up to a stop above middle grey as they are, and above it half a stop more room than `plain`
 * has, white being 2.96 stops above middle grey.
 *
 * With knee k = 0.36 and saturation s = 1.404 the shoulder is 1 - (1 - k) ((s - Y) / (s - k))^p, p = (s - k) / (1 - k): it
 * leaves the knee with slope 1 and reaches white with slope 0. It works on luminance, so hues stay. Our own curve.
 */
export const PRINT: RenderingCurve = {
  name: "print",
  description:
    "sRGB with a shoulder: tones up to a stop above middle grey as they are, white 3 stops above it.",
  tone: printTone,
  white: 1,
  codeOf: [srgbCode, srgbCode, srgbCode],
};

function printTone(luminance: number): number {
  if (luminance <= KNEE) return luminance;
  if (luminance >= SATURATION) return 1;
  return 1 - (1 - KNEE) * power((SATURATION - luminance) / (SATURATION - KNEE), SHOULDER);
}

function srgbCode(light: number): number {
  return 255 * SRGB.encode(light);
}

/**
 * The curve of a measured kit: every channel gets the code that the user's camera would have given its light.
 *
 * @throws {@link GraderError} `bad-kit` for a kit without a curve
 */
export function kitCurve({ kit, file }: NamedKit): RenderingCurve {
  const { curve } = kit;
  if (!curve) {
    throw new GraderError(
      "bad-kit",
      `The kit ${file} has no curve to render by; measure a bracket or pairs (tonefall kit --help)`,
    );
  }
  const name = file.split("/").at(-1) as string;
  const colours = (["red", "green", "blue"] as const).map((colour) => channelCurve(kit, colour));
  return {
    name: `kit:${name}`,
    description: `The measured curve of ${cameraName(kit)}.`,
    tone: null,
    white: Math.max(...colours.map(({ white }) => white)),
    codeOf: colours.map(({ codeOf }) => codeOf),
  };
}

function channelCurve(
  { curve, middleGrey }: CameraKit,
  colour: "red" | "green" | "blue",
): { readonly white: number; readonly codeOf: (light: number) => number } {
  const { luminance, ...own } = curve as NonNullable<CameraKit["curve"]>;
  const measured = responseCurve(kitPoints(own[colour] ?? luminance));
  const code = middleGrey?.rendered?.code;
  // Without a card, the middle of every curve stands for middle grey, as when frames are graded through the kit.
  const middle = code === undefined ? 0 : measured.stopsAt(code);
  // Tabled, since the curve gives light by code and the code is wanted by light.
  const lights = Float64Array.from({ length: 255 * PARTS + 1 }, (_, part) =>
    part === 0 ? 0 : luminanceAtStops(measured.stopsAt(part / PARTS) - middle),
  );
  return {
    white: lights[255 * PARTS] as number,
    codeOf: (light) => placeIn(lights, light) / PARTS,
  };
}

/** Steps of the table to one code. */
const PARTS = 16;

/** Where a value lies among rising ones, in fractions of their places. */
function placeIn(values: Float64Array, value: number): number {
  let [low, high] = [0, values.length - 1];
  if (value <= (values[low] as number)) return low;
  if (value >= (values[high] as number)) return high;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if ((values[middle] as number) <= value) low = middle;
    else high = middle;
  }
  const from = values[low] as number;
  return low + (value - from) / ((values[high] as number) - from);
}

function cameraName({ camera }: CameraKit): string {
  const words = [camera.make, camera.model].filter((word) => word !== null);
  return words.length > 0 ? words.join(" ") : "the measured camera";
}
