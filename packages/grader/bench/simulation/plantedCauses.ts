import { brightnessLuminance, exp2, log2, MARKED_SERIES } from "@tonefall/tone-core";
import type { CauseCode } from "../../src/model/cause.ts";
import { meteredBy } from "./bodyMeter.ts";
import { familyCamera, lightShownAs } from "./familyCamera.ts";
import type { Random } from "./random.ts";
import { CURVE_FAMILIES, type CurveFamily } from "./renderingCurve.ts";
import {
  type SimulatedPlace,
  type SimulatedRecord,
  type SimulatedShot,
  simulatedPlace,
} from "./simulatedCamera.ts";
import { type Place, SIMULATED_METERINGS, type SimulatedMetering } from "./simulatedMeter.ts";
import { simulatedScene, underUnevenLight } from "./simulatedScene.ts";

/** What can be planted: causes, and what leaves no trace in the record, of which nothing should be named. */
export type PlantedName = Exclude<CauseCode, "not-known"> | Traceless;

/** Plantings without a trace, and files without a record. */
export type Traceless = "no-record" | "silent-edit" | "recomposed" | "nothing-wrong";

/** All of them. */
export const TRACELESS: readonly Traceless[] = [
  "no-record",
  "silent-edit",
  "recomposed",
  "nothing-wrong",
];

/** Plants one cause: shots in the order they were taken, the last being the one that missed. */
export type Planting = (world: World) => readonly SimulatedShot[] | null;

/** What a planting starts from: a photographer before a scene, with what the meter makes of it. */
export interface World {
  readonly random: Random;
  readonly pattern: SimulatedMetering;
  readonly place: SimulatedPlace;
  /** What the meter reads, stops from an 18 % reflector: the compensation that the scene wants. */
  readonly reading: number;
  /** What it reads with its spot elsewhere. */
  readonly readingAt: (spot: Place) => number;
  /** What a photographer gives beyond the meter who places the subject's light, whatever the rendering makes of it. */
  readonly byLight: number;
  /** The same by the light, or by eye, so that the subject lands in the picture. */
  readonly placed: number;
  /** Takes a frame in this world. */
  readonly shoot: (shot: Shot) => SimulatedShot;
}

interface Shot extends Partial<SimulatedShot> {
  /** Stops beyond what the meter asks for: compensation in automatic modes, the needle in manual. */
  readonly beyondMeter: number;
  readonly record: SimulatedRecord | null;
}

const AUTO_PROGRAMMES = ["programme", "aperture-priority", "shutter-priority"] as const;
const FIRMWARE = ["Ver.1.03", "2.0", "Firmware Version 1.1"] as const;
/** What is planted misses the light by this at least: a needle off its centre may also stand where it belongs. */
const SMALLEST_MISTAKE_STOPS = 0.6;
const EARLIER = "2024-05-31T18:04:09";
const LATER = "2024-05-31T18:05:30";

/** A random world, photographed with a camera of one of these families. */
export function randomWorld(
  random: Random,
  families: readonly CurveFamily[] = CURVE_FAMILIES,
): World {
  const subject = random.between(-3, 2);
  const surroundings = random.chance(0.6)
    ? subject + random.between(-0.5, 0.5)
    : random.between(-3, 2.2);
  const scene = underUnevenLight(random, simulatedScene(random, subject, surroundings));
  const pattern = random.pick(SIMULATED_METERINGS);
  const camera = familyCamera(random, random.pick(families));
  const place = simulatedPlace(random);
  const readingAt = (spot?: Place): number =>
    meteredBy(camera.body.meter, scene.tones, pattern, spot);
  const reading = readingAt();
  const byLight = reading - camera.body.meter.calibrationStops;
  const byEye = lightShownAs(camera, subject) - subject + byLight;
  // Flags and numbers that many files carry whatever happened.
  const harmless: SimulatedRecord = {
    flashFired: false,
    customRendered: "normal",
    contrast: random.chance(0.1) ? "hard" : "normal",
    ...(random.chance(0.5) ? { software: random.pick(FIRMWARE) } : {}),
  };
  return {
    random,
    pattern,
    place,
    reading,
    readingAt,
    byLight,
    placed: random.chance(0.5) ? byLight : byEye,
    shoot: ({ beyondMeter, record, ...rest }) => ({
      scene,
      camera,
      place,
      exposure: beyondMeter - reading,
      ...rest,
      record: record && {
        ...harmless,
        meteringPattern: pattern,
        capturedAt: LATER,
        ...record,
      },
    }),
  };
}

/** In an automatic mode. */
function auto(world: World, compensation: number, more: SimulatedRecord = {}): SimulatedRecord {
  return {
    mode: "auto",
    programme: world.random.pick(AUTO_PROGRAMMES),
    compensation,
    ...more,
  };
}

/** The brightness that the camera metered, as far as such records go. */
function brightnessRecord(world: World): SimulatedRecord {
  return { brightnessValue: brightnessOf(world) + world.random.normal(0.1) };
}

/** In an automatic mode whose meter was followed; some cameras record what it saw. */
function obeyed(world: World, compensation: number): SimulatedRecord {
  return auto(world, compensation, world.random.chance(0.4) ? brightnessRecord(world) : {});
}

const manual = (more: SimulatedRecord = {}): SimulatedRecord => ({
  mode: "manual",
  programme: "manual",
  compensation: 0,
  ...more,
});

const before = (record: SimulatedRecord): SimulatedRecord => ({ ...record, capturedAt: EARLIER });

/** Thirds, as compensation is set. */
const thirds = (stops: number): number => Math.round(3 * stops) / 3;

/** A scene that the meter misjudges by at least this much, in either direction. */
function misread({ reading }: World, least: number): boolean {
  return Math.abs(reading) >= least;
}

function followed(world: World, side: 1 | -1): readonly SimulatedShot[] | null {
  if (Math.sign(world.reading) !== side || !misread(world, 0.7)) return null;
  const record = world.random.chance(0.3) ? manual() : obeyed(world, 0);
  return [world.shoot({ beyondMeter: 0, record })];
}

/** By compensation; or by hand, after a frame that had followed the meter and missed. */
function compensated(world: World, change: number): readonly SimulatedShot[] | null {
  const beyondMeter = thirds(change);
  if (!world.random.chance(0.25)) {
    return [world.shoot({ beyondMeter, record: obeyed(world, beyondMeter) })];
  }
  if (!misread(world, 0.9)) return null;
  return [
    world.shoot({ beyondMeter: 0, record: before(manual()) }),
    world.shoot({ beyondMeter, record: manual() }),
  ];
}

/** How each cause is planted. Null where the world does not lend itself to it. */
export const PLANTED: Readonly<Record<PlantedName, Planting>> = {
  "followed-meter-on-dark": (world) => followed(world, -1),
  "followed-meter-on-light": (world) => followed(world, 1),

  "compensated-wrong-way": (world) => {
    if (!misread(world, 0.8)) return null;
    return compensated(world, -Math.sign(world.reading) * world.random.between(0.67, 1.67));
  },
  "compensated-too-little": (world) => {
    if (!misread(world, 1.5)) return null;
    const most = Math.abs(world.reading) - 0.8;
    return compensated(
      world,
      Math.sign(world.reading) * world.random.between(0.6, Math.max(0.67, most)),
    );
  },
  "compensated-too-far": (world) => {
    const beyond = world.random.between(0.9, 1.6);
    return compensated(world, world.reading + (Math.sign(world.reading) || 1) * beyond);
  },
  "compensation-ignored-in-manual": (world) => {
    if (!misread(world, 0.7)) return null;
    const compensation = thirds(world.reading);
    return [world.shoot({ beyondMeter: 0, record: manual({ compensation }) })];
  },
  "auto-iso-undid-change": (world) => {
    if (!misread(world, 0.8)) return null;
    const { place, random, reading, shoot } = world;
    const side = -Math.sign(reading);
    const byHand = random.chance(0.6);
    const record = byHand ? manual() : auto(world, 0, { programme: "aperture-priority" });
    // A stop the right way, of time by hand or of aperture where that has priority, and the ISO back by a stop.
    const changed = { ...place, iso: place.iso * exp2(side) };
    const aperture = side > 0 ? place.aperture * Math.SQRT2 : place.aperture / Math.SQRT2;
    return [
      shoot({ beyondMeter: 0, record: before(record) }),
      shoot({
        beyondMeter: 0,
        record,
        place: byHand ? changed : { ...changed, aperture: markedAperture(aperture) },
      }),
    ];
  },
  "settings-changed-after-metering": (world) =>
    world.random.chance(0.5) ? changedByHand(world) : changedUnderLock(world),
  "needle-off-centre": (world) => {
    const { random } = world;
    const needle = random.pick([-1, 1]) * random.between(1.2, 3.3);
    if (Math.abs(needle - world.byLight) < SMALLEST_MISTAKE_STOPS) return null;
    const record = manual(random.chance(0.3) ? brightnessRecord(world) : {});
    return [world.shoot({ beyondMeter: needle, record })];
  },
  "flash-fired": (world) => [
    world.shoot({
      beyondMeter: 0,
      addedStops: world.random.between(0.8, 2),
      record: { ...auto(world, 0), flashFired: true },
    }),
  ],
  "light-changed": (world) => {
    const { place, placed, random, shoot } = world;
    const change = random.pick([-1, 1]) * random.between(0.9, 2);
    // The settings stay; in another light they give so much more or less.
    return [
      shoot({ beyondMeter: placed, record: before(manual()) }),
      shoot({
        beyondMeter: placed + change,
        place: { ...place, greyLuminance: place.greyLuminance * exp2(change) },
        record: manual(),
      }),
    ];
  },
  "bracket-step": (world) => {
    const { random, shoot } = world;
    const step = random.pick([-2, -1, 1, 2]);
    // Some cameras record the step as compensation, some do not.
    const record = auto(world, random.pick([0, step]), { mode: "auto-bracket" });
    return [shoot({ beyondMeter: step, record })];
  },
  "settings-and-tones-disagree": (world) => {
    const { random, placed } = world;
    const flags: SimulatedRecord = random.pick<SimulatedRecord>([
      { customRendered: "custom" },
      { software: "Picture Studio 4.1" },
      { composite: "captured" },
      { customRendered: "other" },
    ]);
    const shift = random.pick([-1, 1]) * random.between(1.2, 2);
    // Placed by compensation, and toned afterwards.
    const beyondMeter = thirds(placed);
    return [
      world.shoot({ beyondMeter, addedStops: shift, record: auto(world, beyondMeter, flags) }),
    ];
  },
  "pattern-not-simulated": (world) => {
    const { random, pattern } = world;
    if (pattern !== "spot") {
      if (!misread(world, 0.7)) return null;
      const meteringPattern = random.pick(["multi-spot", "other", "unknown"] as const);
      return [world.shoot({ beyondMeter: 0, record: auto(world, 0, { meteringPattern }) })];
    }
    const elsewhere = world.readingAt({
      x: random.pick([0.1, 0.9]),
      y: random.between(0.35, 0.9),
    });
    if (Math.abs(elsewhere - world.reading) < 1.2) return null;
    return [world.shoot({ beyondMeter: world.reading - elsewhere, record: auto(world, 0) })];
  },

  "no-record": (world) =>
    misread(world, 0.7) ? [world.shoot({ beyondMeter: 0, record: null })] : null,
  "silent-edit": (world) => {
    const { random } = world;
    const addedStops = random.pick([-1, 1]) * random.between(0.6, 2);
    // Placed by compensation, and made lighter or darker afterwards by something that leaves no name.
    const beyondMeter = thirds(world.byLight);
    return [world.shoot({ beyondMeter, addedStops, record: auto(world, beyondMeter) })];
  },
  recomposed: (world) => {
    // A spot that was elsewhere, and segments that nobody knows, are causes of their own.
    if (world.pattern === "spot" || world.pattern === "multi-segment") return null;
    const { random } = world;
    const beyondMeter = random.pick([-1, 1]) * random.between(1, 2);
    return [world.shoot({ beyondMeter, record: auto(world, 0) })];
  },
  "nothing-wrong": (world) => {
    const { byLight: placed, random, shoot } = world;
    if (random.chance(0.6)) {
      const compensation = thirds(placed);
      return [shoot({ beyondMeter: compensation, record: obeyed(world, compensation) })];
    }
    const frame = { beyondMeter: placed, record: manual() };
    const alone = random.chance(0.5);
    return alone
      ? [shoot(frame)]
      : [shoot({ ...frame, record: before(frame.record) }), shoot(frame)];
  },
};

/** Placed right by hand, then turned away from it in the same light. */
function changedByHand(world: World): readonly SimulatedShot[] {
  const change = world.random.pick([-1, 1]) * world.random.between(0.9, 2);
  return [
    world.shoot({ beyondMeter: world.placed, record: before(manual()) }),
    world.shoot({ beyondMeter: world.placed + change, record: manual() }),
  ];
}

/** Locked on another tone; the camera records the brightness that it saw when the picture was taken. */
function changedUnderLock(world: World): readonly SimulatedShot[] {
  const change = world.random.pick([-1, 1]) * world.random.between(1.2, 2);
  const shot = world.shoot({ beyondMeter: change, record: auto(world, 0) });
  return [{ ...shot, record: { ...shot.record, ...brightnessRecord(world) } }];
}

/** APEX brightness of what the meter reads. */
function brightnessOf({ place, reading }: World): number {
  return log2(place.greyLuminance / brightnessLuminance(0)) + reading;
}

/** The marked third nearest to an aperture. */
function markedAperture(aperture: number): number {
  const apart = (mark: number): number => Math.abs(log2(mark / aperture));
  return MARKED_SERIES.third.aperture
    .map(({ marked }) => marked)
    .reduce((best, mark) => (apart(mark) < apart(best) ? mark : best));
}
