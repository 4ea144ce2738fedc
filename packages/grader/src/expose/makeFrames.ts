import { parseRegion, type Region } from "@tonefall/tone-core";
import { readyBrief } from "../brief/brief.ts";
import { fallOf } from "../judge/grade/fallOf.ts";
import { measureFrame } from "../judge/measure/measureFrame.ts";
import { readPattern } from "../judge/metering/readPattern.ts";
import type { BoundedStops } from "../model/metering.ts";
import type { Fall } from "../model/result.ts";
import { assumedSrgb } from "../picture/colour/codeMeaning.ts";
import type { Frame } from "../picture/frame.ts";
import { letGo } from "../picture/letGo.ts";
import { renderedFrame } from "../picture/renderedFrame.ts";
import type { WritePlace } from "../run/write/writePlace.ts";
import type { Capture } from "./capture.ts";
import { encodeFrame } from "./encodeFrame.ts";
import { exposeFrame, type MadeFrame } from "./exposeFrame.ts";
import type { ExposureAsked } from "./exposure.ts";
import { PLAIN, type RenderingCurve } from "./renderingCurve.ts";

/** One frame that is wanted of a capture. */
export interface WantedFrame {
  /** How it is exposed. */
  readonly asked: ExposureAsked;
  /** Where it is written. */
  readonly place: WritePlace;
  /**
   * Regions to measure in it, by name, in a brief's words.
   * @default what the exposure places
   */
  readonly regions?: Readonly<Record<string, string>>;
  /**
   * How light becomes codes.
   * @default plain
   */
  readonly curve?: RenderingCurve;
  /**
   * A sentence for people that its metadata begin with.
   * @default none
   */
  readonly caption?: string | null;
}

/** What one region shows in a made frame. */
export interface MadeTone extends Pick<Fall, "stops" | "bound"> {
  /** The region in a brief's words. */
  readonly region: string;
  /** Share of it with a channel at the lightest code. */
  readonly clippedShare: number;
}

/** A made frame that was written; its pixels are gone. */
export interface WrittenFrame extends Omit<MadeFrame, "samples" | "capture"> {
  /** Where it stands. */
  readonly path: string;
  /** The capture's name. */
  readonly captureName: string;
  /** Bytes of the file. */
  readonly bytes: number;
  /** What its regions show, by name, stops of the rendering from middle grey. */
  readonly tones: Readonly<Record<string, MadeTone>>;
  /** What the pattern that it was metered by reads in the frame itself; null where no meter was followed. */
  readonly shownReading: BoundedStops | null;
}

/**
 * Makes and writes frames of one capture, which is decoded once: while one is encoded, the next is rendered.
 *
 * @returns the frames in their order, each when its file is whole
 * @throws {@link GraderError} as {@link exposeFrame}, or `would-overwrite`; the file system's error
 */
export async function* makeFrames(
  capture: Capture,
  wanted: Iterable<WantedFrame>,
): AsyncGenerator<WrittenFrame> {
  let writing: Promise<WrittenFrame> | null = null;
  for (const one of wanted) {
    const made = await exposeFrame(capture, one.asked, one.curve ?? PLAIN);
    const written = measuredOf(made, one);
    const before = writing;
    // Its encoding starts at once; a failure is heard when its turn comes.
    writing = write(made, one, written);
    writing.catch(() => {});
    if (before) yield await before;
  }
  if (writing) yield await writing;
}

type Measured = Omit<WrittenFrame, "bytes" | "path">;

async function write(
  made: MadeFrame,
  { place, caption = null }: WantedFrame,
  measured: Measured,
): Promise<WrittenFrame> {
  const { length: bytes } = await encodeFrame(made, { place, ...(caption ? { caption } : {}) });
  letGo(made.samples);
  return { ...measured, path: place.path, bytes };
}

function measuredOf(made: MadeFrame, { regions }: WantedFrame): Measured {
  const { samples, capture, ...rest } = made;
  const { reading, placed } = made.exposure;
  const frame = frameOf(made);
  const wanted = regions ?? (placed ? { subject: placed.region } : {});
  const tones = Object.entries(wanted).map(([name, region]) => [name, toneIn(frame, region)]);
  const spot = reading?.spot;
  const shown = reading && readPattern(frame, reading.pattern, spot ? { spot } : {});
  return {
    ...rest,
    captureName: capture.name,
    tones: Object.fromEntries(tones),
    shownReading: shown && { stops: shown.stops, bound: shown.bound },
  };
}

function toneIn(frame: Frame, region: string): MadeTone {
  const { regionText } = readyBrief({ region });
  const shape: Region = parseRegion(regionText);
  const { statistics } = measureFrame(frame, shape, { histograms: false });
  const { stops, bound } = fallOf(statistics, frame);
  return { region: regionText, stops, bound, clippedShare: statistics.clipped.share };
}

/** A made frame's pixels as whoever grades the file will see them. */
function frameOf({ width, height, samples, orientation }: MadeFrame): Frame {
  return renderedFrame({
    ...{ width, height, samples, orientation },
    stride: 3,
    bits: 8,
    fullScale: 255,
    meaning: assumedSrgb(3),
    notes: [],
  });
}
