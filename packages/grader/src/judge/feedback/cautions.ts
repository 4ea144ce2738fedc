interface Caution {
  /** The words of a brief or of a grade that call for it. */
  readonly words: RegExp;
  /** Whether the settings call for it. */
  readonly settings?: (touched: CautionTouch) => boolean;
  readonly text: string;
}

/** What a row says that may call for a caution. */
export interface CautionTouch {
  /** The placement as the brief words it, and the grade in words. */
  readonly words: readonly string[];
  /** Whether the file records that the flash fired. */
  readonly flashFired: boolean;
  /** Exposure value at ISO 100 of the light that the settings suit; null where a setting is missing. */
  readonly ev100: number | null;
}

/** From this light up, settings suit sand or snow in full sun, and glitter: published exposure values. */
const GLARE_EV100 = 16;

/** Common cautions, shown where the brief, the words or the settings call for them. */
const CAUTIONS: readonly Caution[] = [
  {
    words: /\b(sun|sunlit|sunset|sunrise|backlight|backlit|sky|snow|beach|sand)\b/i,
    settings: ({ ev100 }) => ev100 !== null && ev100 >= GLARE_EV100,
    text: "Never look at the sun through a lens or an optical viewfinder. To photograph the sun itself, put a certified solar filter on the front of the lens; eclipse glasses and neutral density filters are no substitute. A bare sensor can burn too.",
  },
  {
    words: /\bflash\b/i,
    settings: ({ flashFired }) => flashFired,
    text: "Before you use flash, ask first. Keep your distance from infants, never fire it at drivers, riders or animals, and fire no bursts near people with photosensitive epilepsy.",
  },
  {
    words:
      /\b(road|street|track|rail|railway|quay|pier|cliff|edge|river|water|sea|tide|beach|hull|boat)\b/i,
    text: "Never stand on or beside railway tracks. Stop walking before you look into the viewfinder. Near roads, edges and water, watch the traffic, your footing and the tide. Local rules come first.",
  },
];

/** The cautions that a row calls for. */
export function cautionsFor(touched: CautionTouch): readonly string[] {
  // A tone's name joins its words by hyphens: "snow-in-sun".
  const words = touched.words.join(" ").replace(/[-_]/g, " ");
  return CAUTIONS.filter(
    (caution) => caution.words.test(words) || caution.settings?.(touched) === true,
  ).map(({ text }) => text);
}
