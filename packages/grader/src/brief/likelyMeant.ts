import type { Brief } from "./brief.ts";

/** The kinds of text that people type into briefs and sets. */
export type TypedKind = "place" | "region" | "stops" | "basis" | "transfer" | "gamma";

/** The kind of text that each key of a brief holds. */
export const BRIEF_KINDS: Readonly<Record<keyof Brief, TypedKind>> = {
  place: "place",
  region: "region",
  tolerance: "stops",
  basis: "basis",
  transfer: "transfer",
  gamma: "gamma",
};

/** Nobody types a longer value by mistake. */
const LONGEST = 200;

/**
 * What a person probably meant by a value that cannot be read; null where there is no likely guess.
 *
 * Every guess that it gives can be read.
 *
 * @param value - as it was typed
 * @param read - reads such a value, and throws if it cannot
 *
 * @example
 * ```ts
 * likelyMeant("place", "+1 EV", parsePlacement); // => "+1"
 * likelyMeant("region", "box:10,20,30,40", parseRegion); // => "box:0.1,0.2,0.3,0.4"
 * ```
 */
export function likelyMeant(
  kind: TypedKind,
  value: unknown,
  read: (text: string) => unknown,
): string | null {
  if (typeof value !== "string" && typeof value !== "number") return null;
  const text = String(value).trim();
  if (text.length > LONGEST) return null;
  return GUESSES[kind](text).find((guess) => guess !== text && canBeRead(guess, read)) ?? null;
}

const GUESSES: Readonly<Record<TypedKind, (text: string) => readonly string[]>> = {
  place: (text) => {
    const bare = withoutUnit(text);
    const spelt = british(text);
    return [
      bare,
      spelt,
      inFigures(bare),
      bare.replace(",", "."),
      bare.replace(/^([-+]?\d[\d./]{0,8})\s?(?:-|–|to)\s?([-+]?\d[\d./]{0,8})$/, "$1..$2"),
      // A bare number of two digits is more likely a reflectance than stops.
      ...(/^\d{2}$/.test(bare) ? [`${bare}%`] : []),
    ];
  },
  region: (text) => [
    british(text),
    text.replace(/\s?,\s?/g, ",").replace(/[()[\]]/g, ""),
    text.replace(
      /^([a-z]{1,10})\s?[( ]\s?([\d., ]{1,80})\)?$/i,
      (_, shape, numbers) =>
        `${shape}:${String(numbers)
          .trim()
          .replace(/[,\s]+/g, ",")}`,
    ),
    ...fractionsFromPercent(text),
    ...(/^(?:cent(?:re|er)|middle)$/i.test(text) ? ["spot"] : []),
    ...(/^(?:all|full|frame|everything)$/i.test(text) ? ["whole"] : []),
  ],
  stops: (text) => {
    const bare = withoutUnit(text);
    return [bare, inFigures(bare), bare.replace(",", "."), bare.replace(/^[±+-]\s*/, "")];
  },
  basis: (text) => [
    ...["rendered", "scene", "settings"].filter((basis) =>
      basis.startsWith(text.toLowerCase().slice(0, 4)),
    ),
    ...(/^(?:raw|sensor|light)$/i.test(text) ? ["scene"] : []),
    ...(/^(?:jpe?g|picture|image)$/i.test(text) ? ["rendered"] : []),
    ...(/^(?:exif|metadata)$/i.test(text) ? ["settings"] : []),
  ],
  transfer: (text) => [
    text.replace(/^(?:gamma\s?[:=]?\s?)?(\d[\d.,]{0,8})$/i, "gamma $1").replace(",", "."),
    ...(/^lin/i.test(text) ? ["linear"] : []),
  ],
  gamma: (text) => [
    text.replace(/^gamma\s?[:=]?\s?/i, "").replace(",", "."),
    ...(/^lin/i.test(text) ? ["1"] : []),
  ],
};

/** The text without the unit, which is always stops. */
function withoutUnit(text: string): string {
  return text.replace(/(?:ev|f-?stops?|stops?)$/i, "").trim();
}

/** `half a`, as it is left of `half a stop`, in figures; any other text as it is. */
function inFigures(text: string): string {
  const bare = text.replace(/^(?:an?|one) /i, "").replace(/(?: of)? an?$/i, "");
  return FRACTIONS[bare.toLowerCase().replace("-", " ")] ?? text;
}

const FRACTIONS: Readonly<Record<string, string>> = {
  half: "1/2",
  third: "1/3",
  "two thirds": "2/3",
};

function british(text: string): string {
  return text.replace(/center/gi, "centre").replace(/gray/gi, "grey");
}

/** Numbers above 1 in a region are most likely percentages of the picture. */
function fractionsFromPercent(text: string): readonly string[] {
  const numbers = text.match(/\d+(?:\.\d+)?/g)?.map(Number) ?? [];
  if (!numbers.some((number) => number > 1) || numbers.some((number) => number > 100)) return [];
  const asFraction = (percent: string): string =>
    String(Number((Number(percent) / 100).toFixed(4)));
  return [text.replace(/\d+(?:\.\d+)?%?/g, (percent) => asFraction(percent.replace("%", "")))];
}

function canBeRead(text: string, read: (text: string) => unknown): boolean {
  try {
    read(text);
    return true;
  } catch {
    return false;
  }
}
