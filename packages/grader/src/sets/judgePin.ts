import { RENDERED_MEASURING } from "@tonefall/tone-core";
import { stopsText } from "../model/words.ts";
import { type Finding, finding } from "./finding.ts";
import { type FrameFacts, toneKey } from "./frameFacts.ts";
import { checkStops, knownText } from "./judgeStops.ts";
import { pinnedRegions, pinOf } from "./pinOf.ts";
import type { ReadyFrame, ReadySet } from "./readySet.ts";
import type { Pin } from "./setFile.ts";

/** A tone that moved by less than this, stops, may differ only by how it was measured. */
const MOVED_STOPS: number = RENDERED_MEASURING;

/**
 * Compares a frame's file with its pin: one finding where its bytes are the pinned ones; otherwise one for the bytes and
 * one for each thing that changed with them.
 *
 * @param set - whose other pins show which files were swapped
 * @returns nothing for a frame without a pin, or whose file cannot be read
 */
export function judgePin(frame: ReadyFrame, facts: FrameFacts, set: ReadySet): Finding[] {
  const { pin } = frame;
  const now = pin && pinOf(frame, facts);
  if (!now) return [];
  const expected = `sha256 ${pin.sha256.slice(0, 12)}`;
  const measured = `sha256 ${now.sha256.slice(0, 12)}`;
  const { id } = frame;
  if (pin.sha256 === now.sha256) {
    const sentence = `The file of ${id} is the pinned one.`;
    return [finding({ outcome: "kept", code: "holds", expected, measured, sentence })];
  }
  const moves = movesOf(frame, facts, pin);
  const owner = set.frames.find((other) => other.pin?.sha256 === now.sha256);
  const bytes = finding({
    outcome: "missed",
    code: owner ? "swapped" : "bytes-changed",
    expected,
    measured,
    sentence: owner
      ? `The file of ${id} is the one that was pinned for ${owner.id}.`
      : changedSentence(frame, moves),
  });
  return [
    bytes,
    ...changes(frame, pin, now),
    ...moves.filter(({ far }) => far).map(({ found }) => found),
  ];
}

interface Move {
  readonly name: string;
  readonly stops: number;
  readonly far: boolean;
  readonly found: Finding;
}

function changedSentence({ id, file }: ReadyFrame, moves: readonly Move[]): string {
  const moved = moves.map(({ name, stops }) => `${name} by ${stopsText(stops)}`).join(", ");
  const what = moved === "" ? "No pinned tone could be measured again" : `Tones moved: ${moved}`;
  return `The bytes of ${id} (${file}) have changed since they were pinned. ${what}.`;
}

/** How far each pinned tone moved. */
function movesOf(frame: ReadyFrame, facts: FrameFacts, pin: Pin): Move[] {
  const regions = pinnedRegions(frame);
  return Object.entries(pin.falls ?? {}).flatMap(([name, before]) => {
    const row = facts.tones.get(toneKey({ region: regions[name] ?? name, basis: null }));
    if (!row?.fall || !row.basis) return [];
    const { stops, bound } = row.fall;
    const moved = stops - before;
    const known = { stops, bound, uncertainty: MOVED_STOPS };
    const found: Finding = {
      outcome: "missed",
      code: "tone-moved",
      expected: stopsText(before),
      measured: knownText(known),
      stops: checkStops(row.basis, { from: before, to: before }, known, MOVED_STOPS),
      sentence: `The ${name} of ${frame.id} is ${Math.abs(moved).toFixed(2)} stops ${moved > 0 ? "lighter" : "darker"} than when it was pinned.`,
    };
    return [{ name, stops: moved, far: Math.abs(moved) > MOVED_STOPS, found }];
  });
}

/** What else has changed with the bytes. */
function changes({ id }: ReadyFrame, pin: Pin, now: Pin): Finding[] {
  return [
    lostMetadata(id, pin, now),
    changedSize(id, pin, now),
    changedOrientation(id, pin, now),
    changedColour(id, pin, now),
    editTrace(id, pin, now),
  ].filter((found) => found !== null);
}

function lostMetadata(id: string, pin: Pin, now: Pin): Finding | null {
  const lost = (pin.recorded ?? []).filter((field) => !now.recorded?.includes(field));
  if (lost.length === 0) return null;
  return changed({
    code: "metadata-lost",
    expected: pin.recorded?.join(" "),
    measured: now.recorded?.join(" ") || "nothing",
    sentence: `Frame ${id} no longer records ${lost.join(", ")}.`,
  });
}

function changedSize(id: string, pin: Pin, now: Pin): Finding | null {
  if (!pin.size || now.size === pin.size) return null;
  const sizes = { expected: pin.size, measured: now.size };
  return now.size === turnedSize(pin)
    ? changed({
        ...{ code: "rotated", ...sizes },
        sentence: `Frame ${id} was turned on its side since it was pinned.`,
      })
    : changed({
        ...{ code: "resized", ...sizes },
        sentence: `Frame ${id} has ${now.size} pixels; ${pin.size} were pinned.`,
      });
}

/** A tag that changed together with the size turned the picture: {@link changedSize} says that. */
function changedOrientation(id: string, pin: Pin, now: Pin): Finding | null {
  if (pin.orientation === undefined || (pin.orientation ?? 1) === (now.orientation ?? 1))
    return null;
  const isSquare = turnedSize(pin) === pin.size;
  if (!isSquare && now.size !== pin.size) return null;
  return changed({
    code: "rotated",
    expected: pin.orientation,
    measured: now.orientation,
    sentence: `The orientation tag of ${id} has changed since it was pinned.`,
  });
}

function changedColour(id: string, pin: Pin, now: Pin): Finding | null {
  if (!pin.colour || now.colour === pin.colour) return null;
  return changed({
    code: "profile-changed",
    expected: pin.colour,
    measured: now.colour,
    sentence: `The colours of ${id} mean "${now.colour}"; "${pin.colour}" was pinned.`,
  });
}

function editTrace(id: string, pin: Pin, now: Pin): Finding | null {
  if (pin.software === undefined || now.software === null || now.software === pin.software)
    return null;
  return changed({
    code: "edit-trace",
    expected: pin.software ?? "none",
    measured: now.software,
    sentence: `"${now.software}" has written frame ${id} since it was pinned.`,
  });
}

/** The size of a pinned picture that lies on its side. */
function turnedSize({ size }: Pin): string | undefined {
  return size?.split("x").reverse().join("x");
}

function changed(found: {
  readonly code: string;
  readonly expected: unknown;
  readonly measured: unknown;
  readonly sentence: string;
}): Finding {
  const { expected, measured } = found;
  return finding({
    ...{ ...found, outcome: "missed" },
    expected: String(expected),
    measured: String(measured),
  });
}
