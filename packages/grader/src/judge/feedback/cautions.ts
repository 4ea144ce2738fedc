interface Caution {
  /** Words of a brief or of the grade that touch it. */
  readonly words: RegExp;
  /** Whether the settings touch it. */
  readonly settings?: (touched: CautionTouch) => boolean;
  readonly text: string;
}

/** What of a row may touch a caution. */
export interface CautionTouch {
  /** The placement as the brief words it, and the grade in words. */
  readonly words: readonly string[];
  /** Whether the file records that the flash fired. */
  readonly flashFired: boolean;
  /** The light that the settings suit, exposure value at ISO 100; null where a setting is missing. */
  readonly ev100: number | null;
}

/** Settings for this light and more suit sand or snow in full sun, and glitter: published exposure values. */
const GLARE_EV100 = 16;

/** Usual cautions, shown where brief, words or settings touch them. */
const CAUTIONS: readonly Caution[] = [
  {
    words: /\b(sun|sunlit|sunset|sunrise|backlight|backlit|sky|snow|beach|sand)\b/i,
    settings: ({ ev100 }) => ev100 !== null && ev100 >= GLARE_EV100,
    text: "Never look at the sun through a lens or an optical finder; photographing the sun itself takes a certified solar filter on the front of the lens. Eclipse glasses and neutral density filters are none. A bare sensor can burn too.",
  },
  {
    words: /\bflash\b/i,
    settings: ({ flashFired }) => flashFired,
    text: "Flash: ask first, keep your distance from infants, never at drivers, riders or animals, and no bursts near people with photosensitive epilepsy.",
  },
  {
    words:
      /\b(road|street|track|rail|railway|quay|pier|cliff|edge|river|water|sea|tide|beach|hull|boat)\b/i,
    text: "Never on or beside tracks. Stop walking before the eye goes to the finder. By roads, edges and water mind traffic, the edge, the wet and the tide; local rules come first.",
  },
];

/** The cautions that a row touches. */
export function cautionsFor(touched: CautionTouch): readonly string[] {
  // A tone's name joins its words by hyphens: "snow-in-sun".
  const words = touched.words.join(" ").replace(/[-_]/g, " ");
  return CAUTIONS.filter(
    (caution) => caution.words.test(words) || caution.settings?.(touched) === true,
  ).map(({ text }) => text);
}
