import { exp2, givenExposure, hypot, median } from "@tonefall/tone-core";
import { GraderError } from "../model/errors.ts";
import type { Note } from "../model/note.ts";
import type { Exposure } from "../model/result.ts";
import { percentText, stopsText } from "../model/words.ts";
import { letGo } from "../picture/letGo.ts";
import { readFrame } from "../run/readFile.ts";
import { type Capture, type CaptureOptions, captureOf, openCapture } from "./capture.ts";
import { NO_SHIFT, type Shift, shiftBetween, type TonePlane, tonePlane } from "./frameShift.ts";
import { type LightBlocks, lightBlocks, sharedBlocks } from "./lightBlocks.ts";
import { LightSum } from "./lightSum.ts";

/** A frame whose light strays from its settings by more than this fits no bracket, stops. Our judgement. */
const MOST_STRAY = 1 / 3;

/** A frame whose exposure strays by more than this is named in a note, stops. */
const NAMED_STRAY = 0.04;

/** A frame that lies further off than this is named in a note, pixels. */
const NAMED_SHIFT = 1;

/** A block that strays from its frame by more than this shows something that moved, stops. Our judgement. */
const MOVED = 1 / 3;

/** With more than this share of its blocks moved, a frame shows another scene. Our judgement. */
const MOST_MOVED = 0.1;

/** Blocks that two frames must share to be compared. */
const LEAST_SHARED = 20;

/** A file of the bracket, and its exposure against the others'. */
interface Rung {
  readonly path: string;
  /** Given exposure, stops. */
  readonly given: number;
}

/**
 * Opens a bracket of one scene as one capture: the light of all frames, each pixel from those that show it, weighed by
 * their noise. What is clipped in all of them stays clipped.
 *
 * The capture's own exposure is that of the middle frame's settings. Each frame is compared with its neighbour towards the
 * middle: a small shift, and light that strays a little from its settings, are allowed for, and blocks in which something
 * moved are left out.
 *
 * @param paths - two or more, raw, or rendered with `options.kit`
 * @throws {@link GraderError} `bracket-refused` where the frames are none of one scene in different exposures; as
 *   {@link openCapture}
 */
export async function openBracket(
  paths: readonly string[],
  options: CaptureOptions = {},
): Promise<Capture> {
  const rungs = await rungsOf(paths);
  const middle = (rungs.length - 1) >> 1;
  const reference = rungs[middle] as Rung;
  const first = await openCapture(reference.path, options);
  const sum = new LightSum(first.picture);
  sum.add(first.picture, 1, null);
  const start: Placed = {
    ...{ name: first.name, given: reference.given, stray: 0, shift: NO_SHIFT },
    ...{ blocks: lightBlocks(first.picture), plane: tonePlane(first.picture) },
  };
  letGo(first.picture.samples);
  const notes: Note[] = [...first.notes];
  const used: Pick<Placed, "name" | "stray" | "shift">[] = [start];
  for (const side of [rungs.slice(middle + 1), rungs.slice(0, middle).reverse()]) {
    let before = start;
    for (const rung of side) {
      const capture = await openCapture(rung.path, options);
      requireAlike(first, capture);
      const fit = fitOf(before, capture, rung.given);
      if (!fit) {
        notes.push(unused(capture.name));
        letGo(capture.picture.samples);
        break;
      }
      before = fit.placed;
      const exposure = exp2(rung.given - reference.given + before.stray);
      sum.add(capture.picture, exposure, fit.moved, before.shift);
      letGo(capture.picture.samples);
      used.push({ name: before.name, stray: before.stray, shift: before.shift });
      notes.push(...fit.notes);
    }
  }
  if (used.length < 2) {
    throw refused(
      `No two frames of the bracket have tones in common that neither clip nor drown in noise; take smaller steps. ${notes.at(-1)?.message ?? ""}`.trim(),
    );
  }
  // Shutters stray to both sides of their settings, so what all frames say of the light is nearer the truth than the middle one.
  const centre = median(used.map(({ stray }) => stray));
  const merged = sum.picture();
  const picture = { ...merged, middleGrey: merged.middleGrey / exp2(centre) };
  notes.push(...used.flatMap((frame) => placeNotes(frame, frame.stray - centre)));
  const names = rungs.map(({ path }) => path.replaceAll("\\", "/").split("/").at(-1) as string);
  const name = `${names[0]} to ${names.at(-1)}`;
  return captureOf(picture, { name, exposure: first.exposure, notes: distinct(notes) });
}

async function rungsOf(paths: readonly string[]): Promise<readonly Rung[]> {
  if (paths.length < 2) {
    throw refused(`Expected two frames or more of a bracket but received ${paths.length}`);
  }
  const rungs: Rung[] = [];
  for (const path of paths) {
    const { exposure, failure } = await readFrame(path);
    if (!exposure) throw refused(`${path} cannot be read. ${failure?.message ?? ""}`.trim());
    rungs.push({ path, given: givenOf(exposure, path) });
  }
  rungs.sort((a, b) => a.given - b.given);
  const same = rungs.find(
    ({ given }, i) => given - (rungs[i - 1]?.given ?? -Infinity) < SAME_GIVEN,
  );
  if (same) {
    throw refused(
      `Expected frames of different exposures but ${same.path} has the settings of another; give each exposure once`,
    );
  }
  return rungs;
}

/** Settings closer together than this are the same, stops. */
const SAME_GIVEN = 0.1;

function givenOf({ aperture, shutter, iso }: Exposure, path: string): number {
  if (aperture.value !== null && shutter.value !== null && iso.value !== null) {
    return givenExposure({
      aperture: aperture.exact ?? aperture.value,
      shutterSeconds: shutter.exact ?? shutter.value,
      iso: iso.exact ?? iso.value,
    });
  }
  throw refused(
    `${path} does not record aperture, time and ISO, so its place in the bracket is not known; give frames as the camera wrote them`,
  );
}

function requireAlike(first: Capture, other: Capture): void {
  const shape = ({ picture, exposure }: Capture): string =>
    `${picture.width} x ${picture.height} pixels of ${exposure.make.value ?? "-"} ${exposure.model.value ?? "-"}, orientation ${picture.orientation}`;
  if (shape(first) === shape(other)) return;
  throw refused(
    `Expected frames of one camera and size but ${other.name} has ${shape(other)} and ${first.name} ${shape(first)}`,
  );
}

function unused(name: string): Note {
  return {
    code: "bracket-unused",
    message: `${name}, and what lies beyond it, was left out: it has hardly any tones in common with the frame next to it that neither clip nor drown in noise.`,
  };
}

/** A frame with its place among the others. */
interface Placed {
  readonly name: string;
  /** Given exposure, stops. */
  readonly given: number;
  /** How much lighter it is than its settings say, against the middle frame, stops. */
  readonly stray: number;
  /** How far its content lies from the middle frame's. */
  readonly shift: Shift;
  readonly blocks: LightBlocks;
  readonly plane: TonePlane;
}

/** How a frame fits the one before it. */
interface Fit {
  readonly placed: Placed;
  /** By block, whether something moved there; null where nothing did. */
  readonly moved: Uint8Array | null;
  readonly notes: readonly Note[];
}

/**
 * Lays a frame over the one before it.
 *
 * @returns null where they have hardly any tones in common
 */
function fitOf(before: Placed, { picture, name }: Capture, given: number): Fit | null {
  const step = given - before.given;
  const plane = tonePlane(picture);
  const apart = shiftBetween(before.plane, plane, step);
  const shift = {
    right: before.shift.right + apart.right,
    down: before.shift.down + apart.down,
  };
  const blocks = lightBlocks(picture, shift);
  const shared = sharedBlocks(before.blocks, blocks);
  if (shared.length < LEAST_SHARED) return null;
  // Light is that of each frame's own exposure, so that a step apart is where nothing strays.
  const stray = median(shared.map(({ stops }) => stops)) - step;
  if (Math.abs(stray) > MOST_STRAY) {
    throw refused(
      `${name} is ${stopsText(stray)} stops from what its settings say against the frame next to it: the light changed, or it shows another scene; leave it out`,
    );
  }
  const off = shared.filter(({ stops }) => Math.abs(stops - step - stray) > MOVED);
  const share = off.length / shared.length;
  if (share > MOST_MOVED) {
    throw refused(
      `${percentText(share)} of ${name} differs from the frame next to it by more than its exposure: something moved, or the camera did; take the bracket from a tripod, of a still scene`,
    );
  }
  const placed = { name, given, stray: before.stray + stray, shift, blocks, plane };
  if (off.length === 0) return { placed, moved: null, notes: [] };
  const moved = new Uint8Array(blocks.light.length);
  for (const { block } of off) {
    moved[block] = 1;
    // The next frame is compared with what stood there before, not with what passed through this one.
    blocks.light[block] = (before.blocks.light[block] as number) * exp2(step + stray);
  }
  const message = `${percentText(share)} of ${name} shows something that moved, around ${placeOf(off, blocks)}; there the frame is left out.`;
  return { placed, moved, notes: [{ code: "bracket-moved", message, share }] };
}

/** What is said of a frame's place among the others. */
function placeNotes({ name, shift }: Pick<Placed, "name" | "shift">, stray: number): Note[] {
  const notes: Note[] = [];
  if (Math.abs(stray) > NAMED_STRAY) {
    notes.push({
      code: "bracket-stray",
      message: `${name} is ${stopsText(stray)} stops from what its settings say, which was allowed for.`,
    });
  }
  const length = hypot(shift.right, shift.down);
  if (length > NAMED_SHIFT) {
    notes.push({
      code: "bracket-shifted",
      message: `${name} lies ${length.toFixed(1)} pixels from the middle frame, which was allowed for; its edges are a little softer.`,
    });
  }
  return notes;
}

/** The box around some blocks, as a region of the stored picture. */
function placeOf(
  off: readonly { readonly block: number }[],
  { across, down }: LightBlocks,
): string {
  const columns = off.map(({ block }) => block % across);
  const rows = off.map(({ block }) => Math.floor(block / across));
  const [left, top] = [Math.min(...columns), Math.min(...rows)];
  const share = (blocks: number, of: number): string => (blocks / of).toFixed(2);
  const width = share(Math.max(...columns) + 1 - left, across);
  const height = share(Math.max(...rows) + 1 - top, down);
  return `box:${share(left, across)},${share(top, down)},${width},${height}`;
}

/** One note of each sentence: every frame of a bracket says the same of its decoding. */
function distinct(notes: readonly Note[]): readonly Note[] {
  return [...new Map(notes.map((note) => [note.message, note])).values()];
}

function refused(message: string): GraderError {
  return new GraderError("bracket-refused", message);
}
