import type { CauseCode } from "../cause/cause.ts";

interface Caution {
  /** Causes that touch it. */
  readonly causes: readonly CauseCode[];
  /** Words of a brief that touch it. */
  readonly words: RegExp;
  readonly text: string;
}

/** Usual cautions, shown where a cause, a brief or the advice touches them. */
const CAUTIONS: readonly Caution[] = [
  {
    causes: ["light-changed"],
    words: /\b(sun|sunlit|sunset|sunrise|backlight|backlit|sky|snow|beach|sand)\b/i,
    text: "Never look at the sun through a lens or an optical finder; photographing the sun itself takes a certified solar filter on the front of the lens. Eclipse glasses and neutral density filters are none. A bare sensor can burn too.",
  },
  {
    causes: ["flash-fired"],
    words: /\bflash\b/i,
    text: "Flash: ask first, keep your distance from infants, never at drivers, riders or animals, and no bursts near people with photosensitive epilepsy.",
  },
  {
    causes: [],
    words:
      /\b(road|street|track|rail|railway|quay|pier|cliff|edge|river|water|sea|tide|beach|hull|boat)\b/i,
    text: "Never on or beside tracks. Stop walking before the eye goes to the finder. By roads, edges and water mind traffic, the edge, the wet and the tide; local rules come first.",
  },
];

/** The cautions that a brief or a cause touches. */
export function cautionsFor(
  placement: string | undefined,
  causes: readonly CauseCode[],
): readonly string[] {
  // A tone's name joins its words by hyphens: "snow-in-sun".
  const words = placement?.replace(/[-_]/g, " ") ?? "";
  return CAUTIONS.filter(
    (caution) => caution.words.test(words) || caution.causes.some((code) => causes.includes(code)),
  ).map(({ text }) => text);
}
