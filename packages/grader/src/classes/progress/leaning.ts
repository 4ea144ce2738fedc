import { exp2, median } from "@tonefall/tone-core";
import { isJudged, type JudgedFrame, type ProgressFrame } from "./progressFrame.ts";

/** Tones by where they are placed. */
type Tones = "dark" | "light";

/** A side to which a student's frames keep falling, whatever the cause of each. */
export interface Leaning {
  /** The tones that fall so: all, or only those placed dark or light. */
  readonly tones: "all" | "dark" | "light";
  /** Where they fall. */
  readonly side: "lighter" | "darker";
  /** Median of those exercises' median errors, stops; positive is lighter. */
  readonly errorStops: number;
  /** Exercises whose frames of these tones fell to that side, in their order. */
  readonly exercises: readonly string[];
  /** How many exercises with such tones were looked at. */
  readonly of: number;
  /** Whether it is too regular for an accident: below one chance in twenty. If not, it is a fact about these exercises alone. */
  readonly habit: boolean;
  /** The frames, in their order. */
  readonly files: readonly string[];
}

/** What one exercise showed of one kind of tones. */
interface Evening {
  readonly exercise: string;
  readonly frames: readonly JudgedFrame[];
}

/** Exercises that are looked at, the last ones with judged frames. */
const WINDOW = 8;

/** The fewest exercises of which a leaning is said at all. */
const LEAST = 4;

/** Chance, where nothing leans, of being called a habit. */
const CHANCE = 0.05;

/** A tone this close to its placement, stops, lies on no side: half of the usual tolerance. */
const CLOSE_STOPS = 1 / 6;

/** Placed from here on, stops from middle grey, a tone is plainly dark or light: one that a meter alone would miss by as much. */
const PLAIN_STOPS = 1;

/**
 * The side to which a student's frames keep falling: all of them, as those of a camera that was left at minus, or only dark
 * or light tones, as those of somebody who forgets the compensation that these ask for. It says what the errors do, so it
 * needs no cause; the causes of one leaning differ with the subject.
 *
 * @param frames - of one student, in the order of the exercises
 * @param exercises - in their order
 */
export function leaningOf(
  frames: readonly ProgressFrame[],
  exercises: readonly string[],
): Leaning | null {
  const judged = frames.filter(isJudged);
  const evenings = eveningsOf(judged, exercises).slice(-WINDOW);
  return (
    leaningOfTones(evenings, "dark") ?? leaningOfTones(evenings, "light") ?? leaningOfAll(evenings)
  );
}

function eveningsOf(frames: readonly JudgedFrame[], exercises: readonly string[]): Evening[] {
  return exercises
    .map((exercise) => ({ exercise, frames: frames.filter((one) => one.exercise === exercise) }))
    .filter((evening) => evening.frames.length > 0);
}

/** All evenings on one side, most of them missed: by the sign test, in which an evening on no side counts against. */
function leaningOfAll(evenings: readonly Evening[]): Leaning | null {
  const last = evenings.at(-1);
  const side = last && fallOf(last);
  if (!side) return null;
  const leaning = evenings.filter((evening) => fallOf(evening) === side);
  const missed = evenings.filter((evening) => sideOf(evening) === side);
  if (2 * missed.length <= evenings.length) return null;
  const habit = 2 * chanceOfHeads(leaning.length, evenings.length) <= CHANCE;
  const isFact = leaning.length === evenings.length && evenings.length >= LEAST;
  return habit || isFact ? leaningFrom("all", side, leaning, evenings.length, habit) : null;
}

/** Evenings with dark, or light, tones on the side of the meter, and the others not: by Fisher's exact test. */
function leaningOfTones(evenings: readonly Evening[], tones: Tones): Leaning | null {
  const side = tones === "dark" ? "lighter" : "darker";
  const own = partsOf(evenings, (frame) => tonesOf(frame) === tones);
  const others = partsOf(evenings, (frame) => tonesOf(frame) !== tones);
  const leaning = own.filter((evening) => sideOf(evening) === side);
  const last = own.at(-1);
  if (!last || !leaning.includes(last)) return null;
  const misled = others.filter((evening) => sideOf(evening) === side).length;
  const chance = chanceOfSplit(leaning.length, own.length, misled, others.length);
  // Two kinds of tones are looked at, and each may take half of the chance.
  return 2 * chance <= CHANCE ? leaningFrom(tones, side, leaning, own.length, true) : null;
}

function partsOf(
  evenings: readonly Evening[],
  belongs: (frame: JudgedFrame) => boolean,
): readonly Evening[] {
  return evenings
    .map(({ exercise, frames }) => ({ exercise, frames: frames.filter(belongs) }))
    .filter(({ frames }) => frames.length > 0);
}

function tonesOf({ placeStops }: JudgedFrame): Tones | null {
  if (placeStops === null || Math.abs(placeStops) < PLAIN_STOPS) return null;
  return placeStops < 0 ? "dark" : "light";
}

/** The side on which the middle of the frames lies, held or not; null where it is close to its placement. */
function fallOf({ frames }: Evening): Leaning["side"] | null {
  const middle = median(frames.map(({ errorStops }) => errorStops));
  if (Math.abs(middle) < CLOSE_STOPS) return null;
  return middle > 0 ? "lighter" : "darker";
}

/** The side to which more than half of the frames missed. */
function sideOf({ frames }: Evening): Leaning["side"] | null {
  const share = (verdict: ProgressFrame["verdict"]): number =>
    frames.filter((frame) => frame.verdict === verdict).length / frames.length;
  if (share("over") > 1 / 2) return "lighter";
  return share("under") > 1 / 2 ? "darker" : null;
}

function leaningFrom(
  tones: Leaning["tones"],
  side: Leaning["side"],
  leaning: readonly Evening[],
  of: number,
  habit: boolean,
): Leaning {
  const verdict = side === "lighter" ? "over" : "under";
  return {
    tones,
    side,
    errorStops: median(
      leaning.map(({ frames }) => median(frames.map(({ errorStops }) => errorStops))),
    ),
    exercises: leaning.map(({ exercise }) => exercise),
    of,
    habit,
    files: leaning
      .flatMap(({ frames }) => frames)
      .filter((frame) => frame.verdict === verdict)
      .map(({ file }) => file),
  };
}

/** Chance that a fair coin shows so many heads, or more. */
function chanceOfHeads(least: number, throws: number): number {
  let chance = 0;
  for (let heads = least; heads <= throws; heads++) chance += ways(throws, heads);
  return chance / exp2(throws);
}

/** Chance that a split of all that lean falls on the first group as far as this, or further, if the groups do not differ. */
function chanceOfSplit(leaning: number, own: number, misled: number, others: number): number {
  const all = leaning + misled;
  let chance = 0;
  for (let more = leaning; more <= Math.min(own, all); more++) {
    chance += ways(own, more) * ways(others, all - more);
  }
  return chance / ways(own + others, all);
}

/** Ways to choose some of a few. */
function ways(of: number, chosen: number): number {
  if (chosen < 0 || chosen > of) return 0;
  let count = 1;
  for (let i = 1; i <= chosen; i++) count = (count * (of - chosen + i)) / i;
  return count;
}
