import type { ToneAsk } from "./ask.ts";
import type { FrameFacts } from "./frameFacts.ts";
import type { ReadyClaim, ReadySet } from "./readySet.ts";
import type { ReadyRelation } from "./relationKinds.ts";

/**
 * A set whose frames have codes for names, so that no finding names a frame, a file or the set.
 *
 * The names of regions stay, because claims are about them.
 *
 * @param codeOf - the code of a frame
 * @param name - what replaces the names of the set and its file
 */
export function namelessSet(
  set: ReadySet,
  codeOf: (frame: string) => string,
  name: string,
): ReadySet {
  const ask = <T extends ToneAsk>(of: T): T => ({ ...of, frame: codeOf(of.frame) });
  const renamed = <T extends ReadyClaim | ReadyRelation>(entry: T, id: string): T => {
    if ("ask" in entry) return { ...entry, id, ask: ask(entry.ask) };
    if ("asks" in entry) return { ...entry, id, asks: entry.asks.map(ask) };
    if (!("metered" in entry)) return { ...entry, id };
    const { metered, used } = entry;
    return {
      ...entry,
      id,
      metered: { ...metered, ask: ask(metered.ask) },
      used: { ...used, ask: ask(used.ask) },
    };
  };
  return {
    ...set,
    path: name,
    name,
    frames: set.frames.map((frame) => {
      const code = codeOf(frame.id);
      return {
        ...frame,
        id: code,
        file: code,
        claims: frame.claims.map((claim, i) => renamed(claim, `${code}.${claim.kind}-${i + 1}`)),
      };
    }),
    relations: set.relations.map((relation, i) => renamed(relation, `${relation.kind}-${i + 1}`)),
  };
}

/** What is known of a frame, without the names of files. */
export function namelessFacts(facts: FrameFacts, code: string): FrameFacts {
  return {
    ...facts,
    caseClash: facts.caseClash && "another file",
    read: facts.read && { ...facts.read, file: code },
  };
}
