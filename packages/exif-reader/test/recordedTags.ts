import type { Fraction, TagSource } from "../src/tag/tagSource.ts";
import type { NumberTag, TextTag } from "../src/tag/tags.ts";

/** Tags as a file may record them: `"28/10"`, `"1632 1224"`, or text. */
export type RecordedTags = Readonly<Partial<Record<NumberTag | TextTag, string>>>;

/** A tag source that holds just these, for testing the rule of one field. */
export function recordedTags(tags: RecordedTags): TagSource {
  const entry = <V>(tag: NumberTag | TextTag, valueIn: (text: string) => V) => {
    const text = tags[tag];
    return text === undefined ? undefined : { from: `Exif ${tag}`, value: valueIn(text) };
  };
  return {
    numbers: (tag) => entry(tag, (text) => text.split(" ").map(fraction)),
    text: (tag) => entry(tag, (text) => text),
    position: () => undefined,
    keywords: () => undefined,
    regions: () => undefined,
  };
}

function fraction(text: string): Fraction {
  const [numerator, denominator = "1"] = text.split("/");
  return { numerator: Number(numerator), denominator: Number(denominator) };
}
