import type { Field } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import type { NumberTag } from "../tag/tags.ts";
import { firstUsable, type Limits, quantity } from "./fieldRules.ts";

const ISO: Limits = { least: 0.1, most: 1e8 };

/** The most that the SHORT PhotographicSensitivity can hold; it then means "65535 or higher". */
const SATURATED = 65535;

/** The LONG tags that hold the same speed, by SensitivityType and in the order in which it names them. */
const LONG_TAGS: Readonly<Record<number, readonly NumberTag[]>> = {
  1: ["StandardOutputSensitivity"],
  2: ["RecommendedExposureIndex"],
  3: ["ISOSpeed"],
  4: ["StandardOutputSensitivity", "RecommendedExposureIndex"],
  5: ["StandardOutputSensitivity", "ISOSpeed"],
  6: ["RecommendedExposureIndex", "ISOSpeed"],
  7: ["StandardOutputSensitivity", "RecommendedExposureIndex", "ISOSpeed"],
};

const UNNAMED: readonly NumberTag[] = [
  "ISOSpeed",
  "StandardOutputSensitivity",
  "RecommendedExposureIndex",
];

/**
 * The ISO sensitivity: PhotographicSensitivity (ISOSpeedRatings in older files). Where that is saturated, 0 or absent, the
 * LONG tag that SensitivityType names counts, or the first there is where it names none.
 *
 * @see [EXIF, PhotographicSensitivity, SensitivityType]
 */
export function iso(tags: TagSource): Field<number> {
  const short = quantity(tags.numbers("PhotographicSensitivity"), ISO);
  const isSaturated = short.value === SATURATED;
  if (short.value !== null && !isSaturated) return short;

  const type = tags.numbers("SensitivityType");
  const code = type && "value" in type ? type.value[0]?.numerator : undefined;
  const longs = (LONG_TAGS[code ?? 0] ?? UNNAMED).map((tag) => () => {
    const least = isSaturated ? SATURATED : ISO.least;
    return quantity(tags.numbers(tag), { ...ISO, least });
  });
  if (!isSaturated) return firstUsable(() => short, ...longs);
  const long = firstUsable(...longs);
  return long.value === null ? { value: null, reason: "saturated", found: `${SATURATED}` } : long;
}
