import { findCauses } from "../../src/judge/cause/findCauses.ts";
import type { CauseCode } from "../../src/model/cause.ts";
import type { FrameResult } from "../../src/model/result.ts";
import { PLANTED, type PlantedName, randomWorld, TRACELESS } from "./plantedCauses.ts";
import { type Random, seededRandom } from "./random.ts";
import { CURVE_FAMILIES, type CurveFamily } from "./renderingCurve.ts";
import { blankRecord, type SimulatedShot, takeAndGrade } from "./simulatedCamera.ts";

/** Families of curves that were looked at while the finder was written. */
export const TUNING_FAMILIES: readonly CurveFamily[] = ["logistic", "drawn", "hard-clip"];

/** The others, on which it is judged. */
export const HELD_OUT_FAMILIES: readonly CurveFamily[] = CURVE_FAMILIES.filter(
  (family) => !TUNING_FAMILIES.includes(family),
);

/** What the cause finder made of the scenes with one planting. */
interface CauseOutcome {
  /** What was planted. */
  readonly planted: PlantedName;
  /** How many scenes it was planted in. */
  readonly scenes: number;
  /** Share of them whose first cause was the right answer, in [0, 1]. */
  readonly rightShare: number;
  /** What was answered first instead, and how often. */
  readonly instead: Readonly<Partial<Record<CauseCode, number>>>;
}

/** Outcomes of a run of trials. Shares are in [0, 1]. */
export interface CauseTrials {
  /** How many were tried. */
  readonly scenes: number;
  /** How many frames were taken for them, those that held and were drawn again included. */
  readonly frames: number;
  /** Of scenes with a cause: whose first cause was the planted one. */
  readonly plantedFirst: number;
  /** Of scenes with a cause: whose first cause was another. */
  readonly anotherFirst: number;
  /** Of missed scenes with nothing wrong: in which a cause was named. */
  readonly namedWithNothingWrong: number;
  /** Of missed scenes whose cause left no trace: in which a cause was named. */
  readonly namedWithoutTrace: number;
  /** One for each planting. */
  readonly outcomes: readonly CauseOutcome[];
}

/** So many worlds are drawn for one scene at most: not every world lends itself to every cause. */
const MOST_DRAWS = 10_000;

interface Trial {
  readonly planted: PlantedName;
  readonly first: CauseCode;
}

/**
 * Tries the cause finder on simulated frames whose cause is known, because it was planted.
 *
 * A simulated camera meters scenes of known reflectance by each pattern, in automatic modes and by hand, with
 * compensation, flash, edits and changes of light; its frames are measured and judged as any picture is, for the
 * subject's own tone. Cameras come from families of curves, with flare, vignetting, noise and meters of their own; the
 * light is uneven. A frame that does not miss is drawn again: only a miss has a cause. The frame of the trial before
 * always stands among the preceding ones, as a neighbour that says nothing.
 *
 * @param scenes - how many; plantings take turns
 * @param seed - the same seed gives the same scenes
 * @param families - of the cameras
 *
 * @example
 * ```ts
 * (await causeTrials(1800, 1)).plantedFirst > 0.9; // => true
 * ```
 */
export async function causeTrials(
  scenes: number,
  seed: number,
  families: readonly CurveFamily[] = CURVE_FAMILIES,
): Promise<CauseTrials> {
  const random = seededRandom(seed);
  const blank = await blankRecord();
  const names = Object.keys(PLANTED) as PlantedName[];
  const trials: Trial[] = [];
  let frames = 0;
  const grade = (shot: SimulatedShot): FrameResult => {
    frames++;
    return takeAndGrade(shot, blank);
  };
  let neighbour: FrameResult[] = [];
  for (let scene = 0; scene < scenes; scene++) {
    const planted = names[scene % names.length] as PlantedName;
    const rows = missedRows(planted, random, families, grade);
    const row = rows.at(-1) as FrameResult;
    const [first] = findCauses(row, [...neighbour, ...rows.slice(0, -1)]);
    trials.push({ planted, first: first?.code ?? "not-known" });
    neighbour = [row];
  }
  const caused = trials.filter(({ planted }) => !isTraceless(planted));
  const named = (planted: readonly PlantedName[]): number =>
    share(
      trials.filter((trial) => planted.includes(trial.planted)),
      ({ first }) => first !== "not-known",
    );
  return {
    scenes,
    frames,
    plantedFirst: share(caused, isRight),
    anotherFirst: share(caused, (trial) => !isRight(trial) && trial.first !== "not-known"),
    namedWithNothingWrong: named(["nothing-wrong"]),
    namedWithoutTrace: named(["silent-edit", "recomposed"]),
    outcomes: names.map((name) => outcomeOf(name, trials)),
  };
}

/** Rows of shots with something planted, of which the last has missed. */
function missedRows(
  planted: PlantedName,
  random: Random,
  families: readonly CurveFamily[],
  grade: (shot: SimulatedShot) => FrameResult,
): readonly FrameResult[] {
  for (let draw = 0; draw < MOST_DRAWS; draw++) {
    const rows = PLANTED[planted](randomWorld(random, families))?.map(grade);
    const verdict = rows?.at(-1)?.verdict;
    if (rows && (verdict === "over" || verdict === "under")) return rows;
  }
  throw new RangeError(
    `Expected a scene that misses for ${planted} but drew none of ${MOST_DRAWS}`,
  );
}

function outcomeOf(name: PlantedName, trials: readonly Trial[]): CauseOutcome {
  const own = trials.filter(({ planted }) => planted === name);
  const instead: Partial<Record<CauseCode, number>> = {};
  for (const trial of own) {
    if (!isRight(trial)) instead[trial.first] = (instead[trial.first] ?? 0) + 1;
  }
  return { planted: name, scenes: own.length, rightShare: share(own, isRight), instead };
}

function isRight({ planted, first }: Trial): boolean {
  return first === (isTraceless(planted) ? "not-known" : planted);
}

function isTraceless(planted: PlantedName): boolean {
  return (TRACELESS as readonly PlantedName[]).includes(planted);
}

function share<T>(list: readonly T[], holds: (item: T) => boolean): number {
  return list.length === 0 ? 0 : list.filter(holds).length / list.length;
}
