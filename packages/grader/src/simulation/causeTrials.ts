import type { CauseCode } from "../cause/cause.ts";
import { findCauses } from "../cause/findCauses.ts";
import type { FrameResult } from "../result.ts";
import { PLANTED, randomWorld } from "./plantedCauses.ts";
import { type Random, seededRandom } from "./random.ts";
import { blankRecord, takeAndGrade } from "./simulatedCamera.ts";

/** What the cause finder made of the scenes with one planted cause. */
export interface CauseOutcome {
  /** The cause. */
  readonly planted: CauseCode;
  /** How many it was planted in. */
  readonly scenes: number;
  /** Share of them whose first cause was the planted one, in [0, 1]. */
  readonly namedShare: number;
  /** What was named first instead, and how often. */
  readonly instead: Readonly<Partial<Record<CauseCode, number>>>;
  /** Share of all other scenes in which this cause was named although it was not planted, in [0, 1]. */
  readonly unplantedShare: number;
}

/** Outcomes of a run of trials. */
export interface CauseTrials {
  /** How many were tried. */
  readonly scenes: number;
  /** Share of all scenes whose first cause was the planted one, in [0, 1]. */
  readonly namedShare: number;
  /** One for each cause that can be planted. */
  readonly outcomes: readonly CauseOutcome[];
}

/** So many worlds are drawn for one scene at most: not every world lends itself to every cause. */
const MOST_DRAWS = 10_000;

/**
 * Tries the cause finder on simulated frames whose cause is known, because it was planted.
 *
 * A simulated camera meters scenes of known reflectance by each pattern, in automatic modes and by hand, with
 * compensation, flash, edits and changes of light; its frames are measured and judged as any picture is, for the
 * subject's own tone. Cameras differ in where they put middle grey and how steep their rendering is, as real ones do. A
 * frame that does not miss is drawn again: only a miss has a cause. The frame of the trial before always stands among
 * the preceding ones, as a neighbour that says nothing.
 *
 * @param scenes - how many; causes are planted in turn
 * @param seed - the same seed gives the same scenes
 *
 * @example
 * ```ts
 * (await causeTrials(1400, 1)).namedShare > 0.95; // => true
 * ```
 */
export async function causeTrials(scenes: number, seed: number): Promise<CauseTrials> {
  const random = seededRandom(seed);
  const blank = await blankRecord();
  const codes = Object.keys(PLANTED) as CauseCode[];
  const trials: { planted: CauseCode; named: readonly CauseCode[] }[] = [];
  let neighbour: FrameResult[] = [];
  for (let scene = 0; scene < scenes; scene++) {
    const planted = codes[scene % codes.length] as CauseCode;
    const rows = missedRows(planted, random, (shot) => takeAndGrade(shot, blank));
    const row = rows.at(-1) as FrameResult;
    const causes = findCauses(row, [...neighbour, ...rows.slice(0, -1)]);
    trials.push({ planted, named: causes.map(({ code }) => code) });
    neighbour = [row];
  }
  return {
    scenes,
    namedShare: share(trials, ({ planted, named }) => named[0] === planted),
    outcomes: codes.map((code) => outcomeOf(code, trials)),
  };
}

/** Rows of shots with a planted cause, of which the last has missed. */
function missedRows(
  planted: CauseCode,
  random: Random,
  grade: (shot: Parameters<typeof takeAndGrade>[0]) => FrameResult,
): readonly FrameResult[] {
  for (let draw = 0; draw < MOST_DRAWS; draw++) {
    const rows = PLANTED[planted](randomWorld(random))?.map(grade);
    const verdict = rows?.at(-1)?.verdict;
    if (rows && (verdict === "over" || verdict === "under")) return rows;
  }
  throw new RangeError(
    `Expected a scene that misses for ${planted} but drew none of ${MOST_DRAWS}`,
  );
}

function outcomeOf(
  code: CauseCode,
  trials: readonly { readonly planted: CauseCode; readonly named: readonly CauseCode[] }[],
): CauseOutcome {
  const own = trials.filter(({ planted }) => planted === code);
  const others = trials.filter(({ planted }) => planted !== code);
  const instead: Partial<Record<CauseCode, number>> = {};
  for (const { named } of own) {
    const first = named[0] as CauseCode;
    if (first !== code) instead[first] = (instead[first] ?? 0) + 1;
  }
  return {
    planted: code,
    scenes: own.length,
    namedShare: share(own, ({ named }) => named[0] === code),
    instead,
    unplantedShare: share(others, ({ named }) => named.includes(code)),
  };
}

function share<T>(list: readonly T[], holds: (item: T) => boolean): number {
  return list.length === 0 ? 0 : list.filter(holds).length / list.length;
}
