/** How far one item lies from the curve of all, stops. */
export interface Agreement {
  /** Offset and spread together, 0 or more. */
  readonly residual: number;
  /** How much lighter it is than the others say. */
  readonly offset: number;
  /** How far its own tones lie from its offset, one standard deviation. */
  readonly spread: number;
}

/** What is left of a search for one curve. */
interface Search<T, F> {
  /** The curve of the items kept; null where too few are left, or nothing fits. */
  readonly fit: F | null;
  readonly kept: readonly T[];
  /** Items without tones to compare. */
  readonly silent: ReadonlySet<T>;
  /** Items that were furthest from the curve and too far, in the order in which they were found. */
  readonly strays: ReadonlySet<T>;
  /** The last agreement of every item that was compared, left out or not. */
  readonly agreements: ReadonlyMap<T, Agreement>;
}

/**
 * Fits one curve to items, and leaves out the one furthest from it for as long as one is too far.
 *
 * @param fitOf - the curve of some items, with an agreement for each in their order: null for an item without tones to
 *   compare, which is left out at once; null as a whole where nothing fits
 * @param options - `largestResidual` in stops; `fewest` items that a curve may rest on, by how many are silent
 */
export function leaveOutStrays<T, F extends { readonly agreements: readonly (Agreement | null)[] }>(
  items: readonly T[],
  fitOf: (kept: readonly T[]) => F | null,
  {
    largestResidual,
    fewest,
  }: { readonly largestResidual: number; readonly fewest: (silent: number) => number },
): Search<T, F> {
  const silent = new Set<T>();
  const strays = new Set<T>();
  const agreements = new Map<T, Agreement>();
  let kept = items;
  const end = (fit: F | null): Search<T, F> => ({
    fit: kept.length < fewest(silent.size) ? null : fit,
    kept,
    silent,
    strays,
    agreements,
  });
  for (;;) {
    const fit = fitOf(kept);
    if (!fit) return end(null);
    const mute = kept.filter((_, i) => !fit.agreements[i]);
    if (mute.length > 0) {
      for (const item of mute) silent.add(item);
      kept = kept.filter((item) => !silent.has(item));
      if (kept.length < fewest(silent.size)) return end(null);
      continue;
    }
    for (const [i, item] of kept.entries()) agreements.set(item, fit.agreements[i] as Agreement);
    const worst = furthest(kept, agreements);
    if (worst === undefined || (agreements.get(worst)?.residual ?? 0) <= largestResidual) {
      return end(fit);
    }
    strays.add(worst);
    if (kept.length - 1 < fewest(silent.size)) return end(null);
    kept = kept.filter((item) => item !== worst);
  }
}

function furthest<T>(kept: readonly T[], agreements: ReadonlyMap<T, Agreement>): T | undefined {
  const residual = (item: T): number => agreements.get(item)?.residual ?? 0;
  return [...kept].sort((a, b) => residual(b) - residual(a))[0];
}
