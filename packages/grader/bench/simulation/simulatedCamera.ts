import {
  type CompositeImage,
  type Contrast,
  type CustomRendered,
  type ExposureMode,
  type ExposureProgramme,
  type ExposureRecord,
  type Field,
  type MeteringPattern,
  readExposure,
} from "@tonefall/exif-reader";
import {
  brightnessLuminance,
  exp2,
  log2,
  luminanceFromSettings,
  MARKED_SERIES,
  MIDDLE_GREY,
  SRGB,
} from "@tonefall/tone-core";
import { readyBrief } from "../../src/brief/brief.ts";
import { exposureOf } from "../../src/judge/exposure/exposureOf.ts";
import { defaultTolerance } from "../../src/judge/grade/defaultTolerance.ts";
import { fallOf } from "../../src/judge/grade/fallOf.ts";
import { fallUncertainty } from "../../src/judge/grade/fallUncertainty.ts";
import { judge } from "../../src/judge/grade/judge.ts";
import { measureFrame } from "../../src/judge/measure/measureFrame.ts";
import { withMetering } from "../../src/judge/metering/withMetering.ts";
import type { FrameResult } from "../../src/model/result.ts";
import { assumedSrgb } from "../../src/picture/colour/codeMeaning.ts";
import type { Frame } from "../../src/picture/frame.ts";
import { renderedFrame } from "../../src/picture/renderedFrame.ts";
import { bodyCodes, type CameraBody } from "./cameraBody.ts";
import type { Random } from "./random.ts";
import { HEIGHT, type SimulatedScene, WIDTH } from "./simulatedScene.ts";

/** A camera of its own: where it puts middle grey, and how steep its rendering is. */
export interface SimulatedCamera {
  readonly model: string;
  /** Stops of the picture to a stop of light. */
  readonly contrast: number;
  /** What it shows middle grey above 18 %, stops. */
  readonly middleGrey: number;
  /** How it renders light; without one, straight in stops up to white. See `familyCamera`. */
  readonly body?: CameraBody;
}

/** Aperture and ISO marks, and the light: what stays while a photographer works in one place. */
export interface SimulatedPlace {
  readonly aperture: number;
  readonly iso: number;
  /** Luminance of an 18 % reflector, cd/m². */
  readonly greyLuminance: number;
}

/** What a file says beside the settings. */
export interface SimulatedRecord {
  readonly mode?: ExposureMode;
  readonly programme?: ExposureProgramme;
  readonly meteringPattern?: MeteringPattern;
  readonly compensation?: number;
  readonly brightnessValue?: number;
  readonly flashFired?: boolean;
  readonly customRendered?: CustomRendered;
  readonly contrast?: Contrast;
  readonly composite?: CompositeImage;
  readonly software?: string;
  readonly capturedAt?: string;
}

/** One press of the shutter. */
export interface SimulatedShot {
  readonly scene: SimulatedScene;
  readonly camera: SimulatedCamera;
  readonly place: SimulatedPlace;
  /** Stops given beyond what would render an 18 % reflector as middle grey; the shutter rounds it to a third. */
  readonly exposure: number;
  /** Null for a file without metadata. */
  readonly record: SimulatedRecord | null;
  /** Light that the record does not tell, stops: of a flash, or of an edit. @default 0 */
  readonly addedStops?: number;
}

/** A random place, from a dim room to full sun. */
export function simulatedPlace(random: Random): SimulatedPlace {
  return {
    aperture: random.pick([2.8, 4, 5, 5.6, 7.1, 8, 11]),
    iso: random.pick([100, 200, 400, 800]),
    greyLuminance: brightnessLuminance(random.between(0, 7)),
  };
}

/** A file that records nothing: a JPEG of no segments. */
const NOTHING = new Uint8Array([0xff, 0xd8, 0xff, 0xd9]);

/** The record of a file without metadata, to be filled in. */
export function blankRecord(): Promise<ExposureRecord> {
  return readExposure(NOTHING);
}

/**
 * Takes a frame and grades it for its subject's own tone: the light through the camera into codes, and the codes through
 * the same measuring, judging and metering that every decoded picture takes.
 *
 * @param blank - of {@link blankRecord}
 */
export function takeAndGrade(shot: SimulatedShot, blank: ExposureRecord): FrameResult {
  const { scene, place } = shot;
  const settings = settingsOf(shot);
  const record = recordOf(shot, settings, blank);
  const { exposure, givenExposure } = exposureOf(record);
  const brief = readyBrief({ place: scene.subject, region: scene.region });
  const exact = { aperture: settings.aperture.exact, shutterSeconds: settings.shutter.exact };
  const middle = luminanceFromSettings({ ...exact, iso: settings.iso.exact });
  const frame = develop(shot, log2(place.greyLuminance / middle));
  const { statistics } = measureFrame(frame, brief.region ?? { shape: "whole" }, {
    histograms: false,
  });
  const fall = fallOf(statistics, frame);
  const placement = { from: scene.subject, to: scene.subject, text: String(scene.subject) };
  const tolerance = defaultTolerance("rendered", "rendered");
  const uncertainty = fallUncertainty(fall, "rendered", frame);
  const { error, verdict } = judge(
    fall,
    placement,
    tolerance,
    uncertainty,
    fall.bound === "at most" ? statistics.crushed.share : statistics.clipped.share,
  );
  const row: FrameResult = {
    file: "(simulated)",
    format: "jpeg",
    exposure,
    givenExposure,
    notes: [],
    failure: null,
    basis: "rendered",
    picture: {
      width: WIDTH,
      height: HEIGHT,
      bits: frame.bits,
      colour: frame.colour.description,
      colourFrom: frame.colour.from,
      middleGrey: frame.middleGrey,
    },
    region: brief.regionText,
    pixels: statistics.pixels,
    placement,
    tolerance,
    fall: { ...fall, uncertainty: uncertainty.total, uncertaintyParts: uncertainty.parts },
    error,
    verdict,
    split: null,
    causes: [],
    next: null,
    clipped: statistics.clipped,
    crushed: statistics.crushed,
    sampling: null,
    sensor: null,
  };
  return withMetering(row, frame, null);
}

/** Marked settings with what they stand for: the shutter goes to the mark nearest to the exposure wanted. */
function settingsOf({ place, exposure }: SimulatedShot) {
  const { aperture: apertures, shutterSeconds: times, iso: speeds } = MARKED_SERIES.third;
  const aperture = markOf(apertures, place.aperture);
  const iso = markOf(speeds, place.iso);
  const wanted = (luminance: number): number =>
    (luminanceFromSettings({ aperture: aperture.exact, shutterSeconds: 1, iso: iso.exact }) /
      luminance) *
    exp2(exposure);
  const seconds = wanted(place.greyLuminance);
  const shutter = times.reduce((best, mark) =>
    Math.abs(log2(mark.exact / seconds)) < Math.abs(log2(best.exact / seconds)) ? mark : best,
  );
  return { aperture, shutter, iso };
}

function markOf<Mark extends { readonly marked: number }>(
  marks: readonly Mark[],
  value: number,
): Mark {
  return marks.find(({ marked }) => marked === value) as Mark;
}

function recordOf(
  { record, camera }: SimulatedShot,
  settings: ReturnType<typeof settingsOf>,
  blank: ExposureRecord,
): ExposureRecord {
  if (!record) return blank;
  const said = <T>(value: T): Field<T> => ({ value, from: "simulated camera" });
  const recorded = Object.fromEntries(
    Object.entries(record).map(([name, value]) => [name, said(value)]),
  );
  return {
    ...blank,
    notes: [],
    make: said("Simulated"),
    model: said(camera.model),
    aperture: said(settings.aperture.marked),
    shutter: said(settings.shutter.marked),
    iso: said(settings.iso.marked),
    ...recorded,
  };
}

/**
 * Light into a frame of 8-bit sRGB codes.
 *
 * @param given - where the settings put an 18 % reflector, stops from middle grey
 */
function develop(
  { scene, camera, addedStops = 0 }: Pick<SimulatedShot, "scene" | "camera" | "addedStops">,
  given: number,
): Frame {
  const { body } = camera;
  return body
    ? frameOfCodes(bodyCodes(body, scene.tones, given, addedStops), 3)
    : frameOfCodes(straightCodes(camera, scene.tones, given, addedStops), 1);
}

/** Codes of a curve that is straight in stops and ends at white. */
function straightCodes(
  { contrast, middleGrey }: SimulatedCamera,
  tones: Float64Array,
  given: number,
  addedStops: number,
): Uint8Array {
  return Uint8Array.from(tones, (tone) => {
    const stops = contrast * (tone + given) + middleGrey + addedStops;
    return Math.round(255 * SRGB.encode(Math.min(1, MIDDLE_GREY * exp2(stops))));
  });
}

/** A frame of {@link WIDTH} by {@link HEIGHT} codes without a profile. */
function frameOfCodes(samples: Uint8Array, channels: 1 | 3): Frame {
  return renderedFrame({
    width: WIDTH,
    height: HEIGHT,
    samples,
    stride: channels,
    bits: 8,
    fullScale: 255,
    orientation: 1,
    meaning: assumedSrgb(channels),
    notes: [],
  });
}
