import { REASONS } from "@tonefall/exif-reader";
import { nearestWord } from "@tonefall/tone-core";
import { GraderError } from "../model/errors.ts";
import type { Note } from "../model/note.ts";
import type { Exposure } from "../model/result.ts";
import { type ReadyBrief, readyBrief, TAGGED } from "./brief.ts";

/** A keyword such as `tonefall:place=snow`; case and spaces do not matter. */
const FORM = /^tonefall:\s*([^=\s]+)\s*=(.*)$/i;

/** The keys that keywords may hold, each with its name in a note. */
const KEYS = {
  place: "placement",
  region: "region",
  tolerance: "tolerance",
  basis: "basis",
  transfer: "transfer",
};
type Key = keyof typeof KEYS;

/** The key by which a picture names the task of a class that it answers. */
const TASK = "task";

/**
 * A brief completed from the picture's own keywords, which fill in the keys that it leaves open.
 *
 * @param brief - from the command line, a file or code; each of its keys overrides the keyword of the same key
 * @param exposure - of the picture
 * @returns the brief, and notes that list what came from keywords and which keywords were ignored
 * @throws {@link GraderError} `bad-keyword` when a keyword that is used cannot be read, or two contradict each other
 */
export function taggedBrief(
  brief: ReadyBrief,
  { keywords }: Pick<Exposure, "keywords">,
): { brief: ReadyBrief; notes: readonly Note[] } {
  if ("reason" in keywords) {
    if (keywords.reason === "absent") return { brief, notes: [] };
    throw new GraderError(
      "bad-keyword",
      `Expected keywords such as tonefall:place=snow but the picture's keywords cannot be used. ${REASONS[keywords.reason]}`,
    );
  }
  const { values, unknown } = valuesOf(keywords.value);
  const taken = (Object.keys(KEYS) as Key[]).filter((key) => values.has(key) && isOpen(brief, key));
  const read = Object.fromEntries(taken.map((key) => [key, readValue(key, values.get(key) ?? [])]));
  const { place, region, tolerance, basis } = read;
  const transfer = read["transfer"]?.transfer ?? brief.transfer;
  const completed: ReadyBrief = {
    placement: place?.placement ?? brief.placement,
    tolerance: tolerance?.tolerance ?? brief.tolerance,
    basis: basis?.basis ?? brief.basis,
    region: region ? region.region : brief.region,
    regionText: region ? region.regionText : brief.regionText,
    regionGiven: brief.regionGiven || region !== undefined,
    ...(transfer ? { transfer } : {}),
  };
  const notes: Note[] = [];
  if (taken.length > 0) {
    const what = taken.map((key) => KEYS[key]).join(", ");
    const message = `From the picture's own keywords (${keywords.from}): ${what}.`;
    notes.push({ code: "brief-from-keywords", message });
  }
  if (unknown.length > 0) {
    notes.push({ code: "keyword-unknown", message: unknownMessage(unknown) });
  }
  return { brief: completed, notes };
}

/** The different values of each key, and the keywords whose key is unknown. */
function valuesOf(keywords: readonly string[]): { values: Map<Key, string[]>; unknown: string[] } {
  const values = new Map<Key, string[]>();
  const unknown: string[] = [];
  for (const keyword of keywords) {
    const [, name, value] = withoutAlias(FORM.exec(keyword.trim()) ?? []);
    const key = (Object.keys(KEYS) as Key[]).find((known) => known === name.toLowerCase());
    // Which task of a class file the picture answers says nothing of its brief.
    if (name.toLowerCase() === TASK) continue;
    if (key === undefined) {
      unknown.push(keyword);
      continue;
    }
    const stated = values.get(key) ?? [];
    if (!stated.includes(value)) stated.push(value);
    values.set(key, stated);
  }
  return { values, unknown };
}

/** `gamma=2.2` says the same as `transfer=gamma 2.2`. */
function withoutAlias([all = "", name = "", value = ""]: readonly string[]): [
  all: string,
  name: string,
  value: string,
] {
  return name.toLowerCase() === "gamma"
    ? [all, "transfer", `gamma ${value.trim()}`]
    : [all, name, value];
}

/** Whether the brief leaves a key to the keywords. */
function isOpen(brief: ReadyBrief, key: Key): boolean {
  switch (key) {
    case "place":
      return brief.placement === null;
    case "region":
      return !brief.regionGiven || brief.regionText === TAGGED;
    case "tolerance":
      return brief.tolerance === null;
    case "basis":
      return brief.basis === null;
    case "transfer":
      return brief.transfer === undefined;
  }
}

function readValue(key: Key, stated: readonly string[]): ReadyBrief {
  const [value = ""] = stated;
  if (stated.length > 1) {
    throw new GraderError(
      "bad-keyword",
      `Expected one keyword tonefall:${key} but the picture has several: ${stated.join("; ")}`,
    );
  }
  try {
    return readyBrief({ [key]: key === "region" ? withCommas(value) : value });
  } catch (cause) {
    if (!(cause instanceof GraderError)) throw cause;
    const message = `The picture's keyword tonefall:${key}=${value} cannot be read. ${cause.message}`;
    throw new GraderError("bad-keyword", message, { cause });
  }
}

/** The region with commas. Photo managers end a keyword at a comma, so keywords may use spaces: `box:0.1 0.2 0.3 0.4`. */
function withCommas(region: string): string {
  const [, name = "", list = ""] = /^([a-z]+)\s*:([^,]+)$/i.exec(region) ?? [];
  const numbers = list.trim().split(/\s+/);
  if (numbers.length < 2 || /^(?:iptc|mwg)$/i.test(name)) return region;
  if (name.toLowerCase() !== "polygon") return `${name}:${numbers.join(",")}`;
  const pairs = numbers.flatMap((x, index) =>
    index % 2 === 0 ? [`${x},${numbers[index + 1]}`] : [],
  );
  return `${name}:${pairs.join(" ")}`;
}

function unknownMessage(unknown: readonly string[]): string {
  const names = Object.keys(KEYS);
  const nearest = nearestWord(FORM.exec(unknown[0]?.trim() ?? "")?.[1]?.toLowerCase() ?? "", names);
  const hint = nearest === null ? "" : ` Did you mean ${nearest}?`;
  return `Ignored: ${unknown.join("; ")}.${hint} A keyword is tonefall:KEY=VALUE, and KEY is one of ${names.join(", ")}.`;
}
