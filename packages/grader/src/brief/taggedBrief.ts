import { REASONS } from "@tonefall/exif-reader";
import { nearestWord } from "@tonefall/tone-core";
import { GraderError } from "../model/errors.ts";
import type { Note } from "../model/note.ts";
import type { Exposure } from "../model/result.ts";
import { type ReadyBrief, readyBrief, TAGGED } from "./brief.ts";

/** `tonefall:place=snow`; case and spaces do not matter. */
const FORM = /^tonefall:\s*([^=\s]+)\s*=(.*)$/i;

/** The keys of a brief as keywords have them, each with what a note calls it. */
const KEYS = {
  place: "placement",
  region: "region",
  tolerance: "tolerance",
  basis: "basis",
  transfer: "transfer",
};
type Key = keyof typeof KEYS;

/**
 * A brief completed by the picture's own keywords: they say what nothing else does.
 *
 * @param brief - from the command line, a file or code; each of its keys overrides the keyword of that key
 * @param exposure - of the picture
 * @returns the brief, and notes that say what of it comes from keywords and which keywords mean nothing
 * @throws {@link GraderError} `bad-keyword` when a keyword that counts has no readable value, or two contradict
 */
export function taggedBrief(
  brief: ReadyBrief,
  { keywords }: Pick<Exposure, "keywords">,
): { brief: ReadyBrief; notes: readonly Note[] } {
  if ("reason" in keywords) {
    if (keywords.reason === "absent") return { brief, notes: [] };
    throw new GraderError(
      "bad-keyword",
      `Expected keywords such as tonefall:place=snow but those of the picture cannot be used. ${REASONS[keywords.reason]}`,
    );
  }
  const { values, unknown } = valuesOf(keywords.value);
  const told = (Object.keys(KEYS) as Key[]).filter((key) => values.has(key) && isOpen(brief, key));
  const read = Object.fromEntries(told.map((key) => [key, readValue(key, values.get(key) ?? [])]));
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
  if (told.length > 0) {
    const what = told.map((key) => KEYS[key]).join(", ");
    const message = `From the picture's own keywords (${keywords.from}): ${what}.`;
    notes.push({ code: "brief-from-keywords", message });
  }
  if (unknown.length > 0) {
    notes.push({ code: "keyword-unknown", message: unknownMessage(unknown) });
  }
  return { brief: completed, notes };
}

/** The different values of each key, and the keywords that have no key of ours. */
function valuesOf(keywords: readonly string[]): { values: Map<Key, string[]>; unknown: string[] } {
  const values = new Map<Key, string[]>();
  const unknown: string[] = [];
  for (const keyword of keywords) {
    const [, name = "", value = ""] = FORM.exec(keyword.trim()) ?? [];
    const key = (Object.keys(KEYS) as Key[]).find((known) => known === name.toLowerCase());
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

/** Photo managers take a comma for the end of a keyword, so numbers may be parted by spaces: `box:0.1 0.2 0.3 0.4`. */
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
  return `Not used, since a keyword is tonefall:KEY=VALUE with ${names.join(", ")} for its key: ${unknown.join("; ")}.${hint}`;
}
