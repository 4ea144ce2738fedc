import { ToneError } from "../errors.ts";
import { type ChartTone, TONE_CHART } from "./toneChart.ts";

/**
 * A tone of the chart by its name or another it goes by. Case, spaces for hyphens and "gray" for "grey" are let pass.
 *
 * @throws {@link ToneError} `TONE_UNKNOWN_NAME` when the chart has no such tone; the message names the nearest
 *
 * @example
 * ```ts
 * findTone("Dark coat").from; // => -3
 * ```
 */
export function findTone(name: string): ChartTone {
  const wanted = normalise(name);
  const found = TONE_CHART.find((tone) => namesOf(tone).includes(wanted));
  if (found) return found;
  const nearest = nearestName(wanted);
  const help =
    nearest === null
      ? `it has ${TONE_CHART.map((tone) => tone.name).join(", ")}`
      : `did you mean "${nearest}"?`;
  throw new ToneError(
    "TONE_UNKNOWN_NAME",
    `Expected a tone of the chart but received "${name}"; ${help}`,
  );
}

function normalise(name: string): string {
  return name
    .trim()
    .toLowerCase()
    .replace(/[\s_-]+/g, "-")
    .replace(/gray/g, "grey");
}

function namesOf(tone: ChartTone): readonly string[] {
  return [tone.name, ...tone.aliases];
}

/** The known name that a slip or two of the keys makes of the wanted one, or null when none is that close. */
function nearestName(wanted: string): string | null {
  let nearest: string | null = null;
  // A third of the letters may be wrong, three at most: "snwo" means "snow", "velvet" means nothing.
  let least = Math.min(3, Math.floor(wanted.length / 3) + 1);
  for (const name of TONE_CHART.flatMap(namesOf)) {
    if (Math.abs(name.length - wanted.length) >= least) continue;
    const distance = editDistance(wanted, name);
    if (distance < least) {
      least = distance;
      nearest = name;
    }
  }
  return nearest;
}

/** Letters to insert, drop, change or swap with their neighbour to make one word of another. */
function editDistance(a: string, b: string): number {
  let before: number[] = [];
  let above = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1];
      let cost = Math.min(at(above, j) + 1, at(row, j - 1) + 1, at(above, j - 1) + (same ? 0 : 1));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        cost = Math.min(cost, at(before, j - 2) + 1);
      }
      row.push(cost);
    }
    before = above;
    above = row;
  }
  return at(above, b.length);
}

function at(row: readonly number[], index: number): number {
  return row[index] as number;
}
