import { expectFinite } from "../expectNumber.ts";

/** A kind of scene, and the light it is published with. */
export interface SceneBand {
  /** The scene in words. */
  readonly name: string;
  /** Exposure value at ISO 100, the dimmer end. */
  readonly from: number;
  /** Exposure value at ISO 100, the brighter end; equal to `from` where one figure is published. */
  readonly to: number;
}

/**
 * Light of usual scenes as exposure values at ISO 100. Daylight rows hold from about two hours after sunrise to two hours
 * before sunset, lit from the front; light from the side is 1 EV dimmer, from behind 2. [SCENES]
 */
export const SCENE_BANDS: readonly SceneBand[] = [
  { name: "light sand or snow in full or slightly hazy sun", from: 16, to: 16 },
  { name: "typical scene in full or slightly hazy sun", from: 15, to: 15 },
  { name: "typical scene in hazy sun, soft shadows", from: 14, to: 14 },
  { name: "typical scene under bright cloud, no shadows", from: 13, to: 13 },
  { name: "typical scene under heavy overcast", from: 12, to: 12 },
  { name: "open shade on a clear day", from: 12, to: 12 },
  { name: "rainbow before clear sky", from: 15, to: 15 },
  { name: "rainbow before cloud", from: 14, to: 14 },
  { name: "just before sunset", from: 12, to: 14 },
  { name: "at sunset", from: 12, to: 12 },
  { name: "just after sunset", from: 9, to: 11 },
  { name: "the full moon itself, high in the sky", from: 15, to: 15 },
  { name: "the gibbous moon itself", from: 14, to: 14 },
  { name: "the quarter moon itself", from: 13, to: 13 },
  { name: "the crescent moon itself", from: 12, to: 12 },
  { name: "landscape under a full moon", from: -3, to: -2 },
  { name: "landscape under a gibbous moon", from: -4, to: -4 },
  { name: "landscape under a quarter moon", from: -6, to: -6 },
  { name: "aurora, bright", from: -4, to: -3 },
  { name: "aurora, medium", from: -6, to: -5 },
  { name: "neon and other bright signs", from: 9, to: 10 },
  { name: "sports at night", from: 9, to: 9 },
  { name: "fires and burning buildings", from: 9, to: 9 },
  { name: "bright streets at night", from: 8, to: 8 },
  { name: "streets at night, window displays", from: 7, to: 8 },
  { name: "traffic at night", from: 5, to: 5 },
  { name: "fairs and amusement parks", from: 7, to: 7 },
  { name: "Christmas tree lights", from: 4, to: 5 },
  { name: "floodlit buildings, monuments and fountains", from: 3, to: 5 },
  { name: "lit buildings far away", from: 2, to: 2 },
  { name: "galleries", from: 8, to: 11 },
  { name: "indoor sports, stage shows", from: 8, to: 9 },
  { name: "floodlit circus", from: 8, to: 8 },
  { name: "floodlit ice show", from: 9, to: 9 },
  { name: "offices and work areas", from: 7, to: 8 },
  { name: "home interiors", from: 5, to: 7 },
];

/** How much dimmer or brighter a scene of a published figure may be, EV. [SCENES] */
export const SCENE_BAND_SLACK = 1;

/**
 * Published scenes whose light lies within {@link SCENE_BAND_SLACK} of an exposure value, the nearest first. It says
 * what light settings would be usual for, and never what is in a frame.
 *
 * @param ev100 - exposure value at ISO 100
 * @returns empty where no scene is published with such light
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE` unless finite
 *
 * @example
 * ```ts
 * scenesAt(16.5).map(({ name }) => name); // => ["light sand or snow in full or slightly hazy sun"]
 * ```
 */
export function scenesAt(ev100: number): SceneBand[] {
  expectFinite("exposure value", ev100);
  const distance = ({ from, to }: SceneBand): number => Math.max(from - ev100, ev100 - to, 0);
  return SCENE_BANDS.filter((band) => distance(band) <= SCENE_BAND_SLACK).sort(
    (a, b) => distance(a) - distance(b),
  );
}
