import { type Fraction, fractionText, type Recorded, type TagSource } from "../tag/tagSource.ts";
import { NUMBER_TAGS, TEXT_TAGS } from "../tag/tags.ts";
import { printableText } from "../text/printableText.ts";

/**
 * The facts in XMP.
 *
 * @param textsAt - the texts of the property at a path, undefined where there is none
 * @param label - what `from` starts with: `"XMP"` or `"sidecar XMP"`
 */
export function xmpSource(
  textsAt: (path: string) => readonly string[] | undefined,
  label: string,
): TagSource {
  const recorded = (paths: readonly string[]) => {
    for (const path of paths) {
      const texts = textsAt(path);
      if (texts !== undefined) return { from: `${label} ${path}`, texts: texts.map(printableText) };
    }
    return undefined;
  };
  return {
    numbers(tag): Recorded<readonly Fraction[]> | undefined {
      const entry = recorded(NUMBER_TAGS[tag].xmp);
      if (entry === undefined) return undefined;
      const { from, texts } = entry;
      const value = texts.map(fractionOf).filter((fraction) => fraction !== null);
      if (value.length < texts.length)
        return { from, found: texts.join(" "), fault: "not-a-number" };
      return { from, found: value.map(fractionText).join(" "), value };
    },
    text(tag): Recorded<string> | undefined {
      const entry = recorded(TEXT_TAGS[tag].xmp);
      if (entry === undefined) return undefined;
      const text = entry.texts[0] ?? "";
      if (text === "") return { from: entry.from, fault: "blank" };
      return { from: entry.from, found: text, value: text };
    },
    position() {
      const isComplete = textsAt("exif:GPSLatitude") && textsAt("exif:GPSLongitude");
      if (!isComplete) return undefined;
      return { from: `${label} exif:GPSLatitude`, present: true };
    },
  };
}

/** XMP writes `28/10`, `2.8`, `7` or `True`. */
function fractionOf(text: string): Fraction | null {
  const truth = /^(true|false)$/i.exec(text)?.[0].toLowerCase();
  if (truth !== undefined) return { numerator: truth === "true" ? 1 : 0, denominator: 1 };
  const parts = /^([+-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?)(?:\/([+-]?\d+(?:\.\d+)?))?$/i.exec(text);
  if (parts === null) return null;
  const [, numerator, denominator = "1"] = parts;
  return { numerator: Number(numerator), denominator: Number(denominator) };
}
