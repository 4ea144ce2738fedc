import { posix } from "node:path";
import { parsePlacement, parseStops, shownText } from "@tonefall/tone-core";
import { readyBrief } from "../brief/brief.ts";
import type { OpenRange } from "./ask.ts";

// Readers of the values in a set file. Each throws an Error whose message says what was expected; the caller adds the place.

/** Stops, a placement or a share as it is typed: a number, or a text that is read later. */
export type Typed = number | string;

/** Stops. */
export function stopsOf(stops: Typed): number {
  return typeof stops === "number" ? stops : parseStops(stops);
}

/** Stops from one to another, or open at an end: `1.4..1.9`, `-2`, `at least 1.4`, `at most -2`. */
export function openRange(range: Typed): OpenRange {
  const [, end, stops] = /^(at least|at most)\s(.*)$/.exec(String(range).trim()) ?? [];
  if (end === undefined || stops === undefined) return parsePlacement(range);
  const limit = parseStops(stops);
  return end === "at least"
    ? { from: limit, to: Number.POSITIVE_INFINITY }
    : { from: Number.NEGATIVE_INFINITY, to: limit };
}

/** A share from 0 to 1: `0.001`, `0.1%`. */
export function shareOf(share: Typed): number {
  const [, percent] = /^\s*(\d+(?:\.\d+)?)\s*%\s*$/.exec(String(share)) ?? [];
  const value = percent === undefined ? Number(share) : Number(percent) / 100;
  if (value >= 0 && value <= 1) return value;
  throw new Error(
    `expected a share from 0 to 1, such as 0.001 or "0.1%", but received "${shownText(String(share))}"`,
  );
}

/** A shutter time in seconds: `1/125`, `0.4`, `2 s`. */
export function secondsOf(shutter: Typed): number {
  const [, over, under] =
    /^(\d+(?:\.\d+)?)(?:\s*\/\s*(\d+(?:\.\d+)?))?\s*s?$/.exec(String(shutter).trim()) ?? [];
  const seconds = Number(over) / Number(under ?? 1);
  if (seconds > 0 && Number.isFinite(seconds)) return seconds;
  throw new Error(
    `expected a time such as "1/125" or 0.4 but received "${shownText(String(shutter))}"`,
  );
}

/** A region's text in its canonical form. */
export function regionOf(region: string): string {
  return readyBrief({ region }).regionText;
}

/** A path that stays in the set's folder on every operating system. */
export function localFile(file: string): string {
  const local = posix.normalize(file);
  const escapes =
    local === ".." || local.startsWith("../") || local.startsWith("/") || local === ".";
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what must not be in a name
  if (escapes || /[\\\u0000-\u001f]|^[A-Za-z]:/.test(file)) {
    throw new Error(
      `expected a path within the set's folder, with forward slashes, but received ${JSON.stringify(shownText(file))}`,
    );
  }
  return local;
}

/** Offsets of a bracket's frames from the first, stops, in equal steps. */
export function equalOffsets(step: number, frames: number): number[] {
  if (step === 0) throw new Error("the steps of a bracket cannot be 0");
  return Array.from({ length: frames }, (_, i) => i * step);
}

/** Offsets of a bracket's frames from the first, stops, where each frame has one of its own. */
export function offsetsFromFirst(offsets: readonly number[], frames: number): number[] {
  if (offsets.length !== frames || new Set(offsets).size !== frames) {
    throw new Error(`expected ${frames} different offsets, one for each frame`);
  }
  return offsets.map((offset) => offset - (offsets[0] as number));
}
