import { RENDERED_MEASURING } from "@tonefall/tone-core";
import { stopsText } from "../model/words.ts";
import { type Finding, finding } from "./finding.ts";
import { type FrameFacts, toneKey } from "./frameFacts.ts";
import { checkStops, knownText } from "./judgeStops.ts";
import { pinnedRegions, pinOf } from "./pinOf.ts";
import type { ReadyFrame, ReadySet } from "./readySet.ts";
import type { Pin } from "./setFile.ts";

/** A tone that moved by less than this, stops, may be the measuring alone. */
const MOVED_STOPS: number = RENDERED_MEASURING;

/**
 * How a frame's file stands to its pin: one finding where its bytes are those that were pinned; otherwise one for the
 * bytes and one for each thing that moved with them.
 *
 * @param set - whose other pins tell files that were swapped
 * @returns nothing for a frame without a pin, or whose file cannot be read
 */
export function judgePin(frame: ReadyFrame, facts: FrameFacts, set: ReadySet): Finding[] {
  const { pin } = frame;
  const now = pin && pinOf(frame, facts);
  if (!now) return [];
  const expected = `sha256 ${pin.sha256.slice(0, 12)}`;
  const measured = `sha256 ${now.sha256.slice(0, 12)}`;
  if (pin.sha256 === now.sha256) {
    return [
      finding(
        "kept",
        "holds",
        expected,
        measured,
        `The file of ${frame.id} is the one that was pinned.`,
      ),
    ];
  }
  const moves = movesOf(frame, facts, pin);
  const owner = set.frames.find((other) => other.pin?.sha256 === now.sha256);
  const bytes = owner
    ? finding(
        "missed",
        "swapped",
        expected,
        measured,
        `The file of ${frame.id} is the one that was pinned for ${owner.id}.`,
      )
    : finding("missed", "bytes-changed", expected, measured, changedSentence(frame, moves));
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
  const told = moves.map(({ name, stops }) => `${name} by ${stopsText(stops)}`).join(", ");
  const what = told === "" ? "No pinned tone could be measured again" : `Tones moved: ${told}`;
  return `The bytes of ${id} (${file}) changed since they were pinned. ${what}.`;
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
      sentence: `${name} of ${frame.id} moved by ${stopsText(moved)} stops, ${moved > 0 ? "lighter" : "darker"}, since it was pinned.`,
    };
    return [{ name, stops: moved, far: Math.abs(moved) > MOVED_STOPS, found }];
  });
}

/** What else changed with the bytes. */
function changes({ id }: ReadyFrame, pin: Pin, now: Pin): Finding[] {
  const found: Finding[] = [];
  const miss = (code: string, expected: unknown, measured: unknown, sentence: string): void => {
    found.push(finding("missed", code, String(expected), String(measured), sentence));
  };
  const lost = (pin.recorded ?? []).filter((field) => !now.recorded?.includes(field));
  if (lost.length > 0) {
    miss(
      "metadata-lost",
      pin.recorded?.join(" "),
      now.recorded?.join(" ") || "nothing",
      `Frame ${id} no longer records ${lost.join(", ")}.`,
    );
  }
  const turned = pin.size?.split("x").reverse().join("x");
  const square = turned === pin.size;
  if (pin.size && now.size !== pin.size) {
    if (now.size === turned)
      miss("rotated", pin.size, now.size, `Frame ${id} was turned on its side.`);
    else
      miss(
        "resized",
        pin.size,
        now.size,
        `Frame ${id} is ${now.size} pixels where ${pin.size} were pinned.`,
      );
  }
  const turnedTag =
    pin.orientation !== undefined && (pin.orientation ?? 1) !== (now.orientation ?? 1);
  if (turnedTag && (square || now.size === pin.size)) {
    miss(
      "rotated",
      pin.orientation,
      now.orientation,
      `Frame ${id} is marked as turned another way.`,
    );
  }
  if (pin.colour && now.colour !== pin.colour) {
    miss(
      "profile-changed",
      pin.colour,
      now.colour,
      `The colours of ${id} mean "${now.colour}" where "${pin.colour}" was pinned.`,
    );
  }
  if (pin.software !== undefined && now.software !== null && now.software !== pin.software) {
    miss(
      "edit-trace",
      pin.software ?? "none",
      now.software,
      `Frame ${id} was written by "${now.software}" since it was pinned.`,
    );
  }
  return found;
}
