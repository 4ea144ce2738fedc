import type { ImageRegion } from "../exposureRecord.ts";
import { OWN_KEYWORD, ownKeywords } from "../tag/ownKeywords.ts";
import type { Fraction, Recorded, TagSource } from "../tag/tagSource.ts";
import { NUMBER_TAGS, TEXT_TAGS } from "../tag/tags.ts";
import { printableText } from "../text/printableText.ts";
import type { XmpProperties } from "./parseXmp.ts";
import { IPTC_REGIONS, MWG_REGIONS, REGIONS_NAMED, xmpRegions } from "./xmpRegions.ts";

/**
 * The facts in XMP.
 *
 * @param propertiesNaming - all properties, or undefined where no packet holds the text of a name
 * @param label - what `from` starts with: `"XMP"` or `"sidecar XMP"`
 */
export function xmpSource(
  propertiesNaming: (name: string | RegExp) => XmpProperties | undefined,
  label: string,
): TagSource {
  const textsAt = (path: string): readonly string[] | undefined =>
    propertiesNaming(path.slice(path.lastIndexOf(":")))?.get(path);
  const recorded = (paths: readonly string[]) => {
    for (const path of paths) {
      const texts = textsAt(path);
      if (texts !== undefined)
        return { from: `${label} ${path}`, texts: texts.map((text) => printableText(text)) };
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
      return { from, value };
    },
    text(tag): Recorded<string> | undefined {
      const entry = recorded(TEXT_TAGS[tag].xmp);
      if (entry === undefined) return undefined;
      const text = entry.texts[0] ?? "";
      if (text === "") return { from: entry.from, fault: "blank" };
      return { from: entry.from, value: text };
    },
    position() {
      const isComplete = textsAt("exif:GPSLatitude") && textsAt("exif:GPSLongitude");
      if (!isComplete) return undefined;
      return { from: `${label} exif:GPSLatitude`, present: true };
    },
    keywords(): Recorded<readonly string[]> | undefined {
      const texts = propertiesNaming(OWN_KEYWORD)?.get("dc:subject");
      return texts && ownKeywords(texts, `${label} dc:subject`);
    },
    regions(): Recorded<readonly ImageRegion[]> | undefined {
      const properties = propertiesNaming(REGIONS_NAMED);
      const value = properties ? xmpRegions(properties) : [];
      if (value.length === 0) return undefined;
      const has = (standard: string) => value.some((region) => region.standard === standard);
      const places = [has("iptc") ? IPTC_REGIONS : [], has("mwg") ? MWG_REGIONS : []].flat();
      return { from: `${label} ${places.join(", ")}`, value };
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
