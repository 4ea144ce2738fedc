/** A subject with a tone of its own, and where it is usually placed. */
export interface ChartTone {
  /** Its name in briefs and options: lower case, words joined by hyphens. */
  readonly name: string;
  /** Its name in a sentence. */
  readonly title: string;
  /** Lower end of the usual placement, stops from middle grey. */
  readonly from: number;
  /** Upper end, stops from middle grey; equal to `from` for a single value. */
  readonly to: number;
  /** Other names it is found by. */
  readonly aliases: readonly string[];
  /** Where the range comes from: a key in SOURCES.md, or null for common practice. */
  readonly source: string | null;
  /** What to keep in mind when placing it, or null. */
  readonly remark: string | null;
}

const SKIN_REMARK =
  "Never assumed: skin has no automatic placement. Place the person's own skin as the two of you want it.";
const SHEEN_REMARK = "With a sheen on it, nearer -1.5.";

/**
 * Where tones belong: subjects with their usual placement, from light to dark.
 *
 * Defaults that a teacher may overrule. Wet and dry, sun and shade differ.
 */
export const TONE_CHART: readonly ChartTone[] = [
  tone("white-paper", "white paper", [2, 2.3], {
    aliases: ["paper"],
    remark: "Close to the top of a plain rendering, which ends 2.47 stops above middle grey.",
  }),
  tone("snow", "fresh snow in sun", [1.5, 2.3], {
    aliases: ["fresh-snow", "snow-in-sun", "sunlit-snow"],
    source: "SNOW",
    remark: "Snow in shade or under cloud is darker than snow in sun.",
  }),
  tone("white-cloth", "white cloth", [1.5, 2], {
    aliases: ["white-fabric", "white-shirt", "sailcloth", "white-object"],
    source: "WHITE-BLACK",
  }),
  tone("limewash", "limewashed wall", [1.5, 2], {
    aliases: ["limewashed-wall", "whitewash", "white-wall"],
  }),
  tone("white-sand", "white sand", [1.5, 2]),
  tone("light-sand", "light sand", [1, 2], {
    aliases: ["sand", "beach"],
    source: "BRIGHT-SCENES",
    remark: "Wet sand is darker.",
  }),
  tone("overcast-sky", "white overcast sky", [1, 2], {
    aliases: ["white-sky", "cloudy-sky"],
    source: "BRIGHT-SCENES",
  }),
  tone("palm", "palm of the hand", [0.7, 1], {
    aliases: ["hand", "palm-of-the-hand"],
    source: "ZONES",
    remark: "A stand-in for a card; measure your own palm against one first.",
  }),
  tone("light-skin", "light skin", [0.7, 1], {
    aliases: ["fair-skin"],
    source: "ZONES",
    remark: SKIN_REMARK,
  }),
  tone("middle-grey", "middle grey", [0, 0], {
    aliases: ["mid-grey", "grey", "mid-tone", "18-percent-grey"],
    source: "MIDDLE-GREY",
    remark: "What a reflected-light meter aims at.",
  }),
  tone("grey-card", "grey card", [0, 0], {
    aliases: ["card", "18-percent-card"],
    source: "MIDDLE-GREY",
    remark: "In the light of the subject, facing between lamp and camera, without glare.",
  }),
  tone("north-sky", "clear north sky", [0, 0], {
    aliases: ["clear-north-sky", "clear-sky", "blue-sky"],
    source: "ZONES",
    remark: "Away from the sun and well above the horizon.",
  }),
  tone("weathered-wood", "weathered wood", [0, 0], {
    aliases: ["old-wood", "grey-wood"],
    source: "ZONES",
  }),
  tone("grey-stone", "grey stone", [0, 0], { aliases: ["stone"], source: "ZONES" }),
  tone("lawn", "lawn", [-1, 0], {
    aliases: ["grass", "green-grass", "meadow"],
    source: "GRASS",
    remark: "Teachers disagree: 0 for some, -1 for others. Settle it for your class.",
  }),
  tone("dark-skin", "dark skin", [-1, -0.7], {
    source: "CHART-PATCHES",
    remark: SKIN_REMARK,
  }),
  tone("dark-foliage", "dark foliage", [-1, -1], {
    aliases: ["foliage", "dark-leaves", "conifers"],
    source: "CAMERA-MANUAL",
  }),
  tone("coal", "coal", [-2, -1.5]),
  tone("tar", "tar", [-2, -1.5], {
    aliases: ["pitch", "tarred-wood"],
    remark: "Wet or sunlit tar shines and reads lighter.",
  }),
  tone("black-fur", "black fur", [-2, -1.5], {
    aliases: ["black-cat", "black-dog"],
    source: "BRIGHT-SCENES",
  }),
  tone("dark-coat", "dark coat", [-3, -2], {
    aliases: ["black-coat"],
    source: "DARK-COAT",
    remark: SHEEN_REMARK,
  }),
  tone("black-cloth", "black cloth", [-3, -2], {
    aliases: ["black-fabric", "black-object"],
    source: "WHITE-BLACK",
    remark: SHEEN_REMARK,
  }),
];

function tone(
  name: string,
  title: string,
  [from, to]: readonly [number, number],
  more: Partial<Pick<ChartTone, "aliases" | "source" | "remark">> = {},
): ChartTone {
  return { name, title, from, to, aliases: [], source: null, remark: null, ...more };
}
