import { shownText } from "@tonefall/tone-core";
import { type ReadyBrief, readyBrief } from "../brief/brief.ts";
import { fallOf } from "../judge/grade/fallOf.ts";
import { measureFrame } from "../judge/measure/measureFrame.ts";
import { readPattern } from "../judge/metering/readPattern.ts";
import { GraderError } from "../model/errors.ts";
import { stopsText } from "../model/words.ts";
import type { Capture } from "./capture.ts";
import type {
  ExposureAsked,
  MeteredExposure,
  PlacedExposure,
  PlannedExposure,
} from "./exposure.ts";
import { madeSettings } from "./madeSettings.ts";
import { spokenStops as spoken } from "./spokenStops.ts";

/** No frame is made further from its capture than this, stops: nothing but noise or white would be left. */
const FURTHEST_STOPS = 12;

/**
 * Works out one exposure for a capture: how far it lies from the capture's own, and the settings that it would have had.
 *
 * Meter and regions read the capture's light, never a rendering.
 *
 * @throws {@link GraderError} `bad-option`, `bad-place`, `bad-region`, `region-empty`
 */
export function planExposure(capture: Capture, asked: ExposureAsked): PlannedExposure {
  const { bracket = 0 } = asked;
  const base = baseOf(capture, asked);
  const stops = base.stops + bracket;
  if (!(Math.abs(stops) <= FURTHEST_STOPS)) {
    throw new GraderError(
      "bad-option",
      `Expected an exposure within ${FURTHEST_STOPS} stops of the capture's own but ${base.label} lies ${stopsText(stops)} from it; choose one that the capture can show`,
    );
  }
  const bracketed = asked.bracket !== undefined;
  const thirds = base.compensation ?? 0;
  return {
    ...base,
    stops,
    bracketed,
    label: bracketed ? `${base.label}, bracket ${spoken(bracket)}` : base.label,
    compensation: base.mode === "auto" && bracketed ? thirds + bracket : base.compensation,
    settings: madeSettings(capture.exposure, {
      stops,
      // Frames of one series are rounded alike, so that their steps stay what they are.
      stepStops: thirds + bracket,
      ...(asked.aperture === undefined ? {} : { aperture: asked.aperture }),
    }),
  };
}

type Base = Omit<PlannedExposure, "settings" | "bracketed">;

function baseOf(capture: Capture, asked: ExposureAsked): Base {
  const nothing = { reading: null, compensation: null, placed: null };
  if ("asMetered" in asked) return metered(capture, asked);
  if ("place" in asked) return placed(capture, asked);
  const { by } = asked;
  requireStops("by", by);
  const label = by === 0 ? "as captured" : `${spoken(by)} from the capture`;
  return { ...nothing, stops: by, label, mode: "manual" };
}

function metered(
  { frame }: Capture,
  { asMetered, compensation = 0, spot, spotShare }: MeteredExposure,
): Base {
  requireStops("compensation", compensation);
  const reading = readPattern(frame, asMetered, {
    ...(spot ? { spot } : {}),
    ...(spotShare === undefined ? {} : { spotShare }),
  });
  if (!reading) {
    throw new GraderError("bad-option", `The pattern ${asMetered} covers no pixel of the capture`);
  }
  const added = compensation === 0 ? "" : ` ${spoken(compensation)}`;
  return {
    stops: compensation - reading.stops,
    label: `as metered, ${asMetered}${added}`,
    mode: "auto",
    reading: {
      pattern: asMetered,
      stops: reading.stops,
      censored: reading.bound === "at least",
      spot: spot ?? null,
    },
    compensation,
    placed: null,
  };
}

function placed({ frame }: Capture, { place, region = "whole" }: PlacedExposure): Base {
  const brief = readyBrief({ place, region });
  const shape = requireShape(brief);
  const { from, to, text } = brief.placement as NonNullable<ReadyBrief["placement"]>;
  const { statistics } = measureFrame(frame, shape, { histograms: false });
  const fall = fallOf(statistics, frame);
  return {
    stops: (from + to) / 2 - fall.stops,
    label: `${shownText(text)} placed`,
    mode: "manual",
    reading: null,
    compensation: null,
    placed: {
      region: brief.regionText,
      place: text,
      falls: fall.stops,
      censored: fall.bound === "at least",
    },
  };
}

function requireShape({ region, regionText }: ReadyBrief): NonNullable<ReadyBrief["region"]> {
  if (region) return region;
  throw new GraderError(
    "bad-region",
    `Expected a region such as spot or box:x,y,w,h to place but received "${shownText(regionText)}", which a file describes`,
  );
}

function requireStops(what: string, stops: number): void {
  if (Number.isFinite(stops)) return;
  throw new GraderError(
    "bad-option",
    `Expected a number of stops for ${what} but received ${stops}`,
  );
}
