import { yamlText } from "../brief/yaml/yamlDocument.ts";
import type { Exposure, Fall, FrameResult } from "../model/result.ts";
import { safeText, shutterText, stopsText } from "../model/words.ts";
import { type FoundRelation, findRelations } from "./findRelations.ts";
import { knownText, rowUncertainty } from "./judgeStops.ts";
import { localFile } from "./setValues.ts";

/** A measured frame, and its path from the set's folder. */
export interface ProposedFrame {
  readonly file: string;
  readonly row: FrameResult;
}

/** A set's name is no longer than this. */
const LONGEST_NAME = 200;

/**
 * A first set file for frames, which runs as it is. What was measured and recorded is proposed as claims, and what looks
 * like an exercise as relations, all in comments for the author to confirm: no measurement knows what a frame was meant to
 * show.
 *
 * @param name - of the set
 */
export function proposeSet(name: string, frames: readonly ProposedFrame[]): string {
  const ids = idsOf(frames);
  const readable = frames.flatMap((frame, i) =>
    frame.row.failure ? [] : [{ ...frame, id: ids[i] as string }],
  );
  const named = readable.filter(({ file }) => canBeNamed(file));
  const unnamed = readable.filter(({ file }) => !canBeNamed(file));
  const relations = findRelations(named.map(({ id, row }) => ({ id, read: row })));
  return [
    "# A first set file: what the pictures show and record now. Delete the # in front of each claim that you mean, give",
    "# regions their places and names, and change the numbers to what each picture is there to teach.",
    "# Then run: tonefall check set.yaml --update-pins",
    "",
    `set: ${JSON.stringify(name.slice(0, LONGEST_NAME) || "set")}`,
    named.length > 0 ? "frames:" : "frames: {}",
    ...named.flatMap(frameLines),
    ...unnamed.map(
      ({ file }) => `# Left out, because a set file cannot hold this name: ${safeText(file)}`,
    ),
    ...(relations.length > 0 ? ["# relations:", ...relations.flatMap(relationLines)] : []),
    "",
  ].join("\n");
}

/** Whether a set file may name a file: a backslash or a control character stops it. */
function canBeNamed(file: string): boolean {
  try {
    localFile(file);
    return true;
  } catch {
    return false;
  }
}

function frameLines({ id, file, row }: ProposedFrame & { readonly id: string }): string[] {
  const { fall, exposure, clipped } = row;
  const claims: string[] = [];
  if (fall) {
    const known = { stops: fall.stops, bound: fall.bound, uncertainty: rowUncertainty(row) };
    const claim =
      fall.bound === null
        ? `falls: { place: ${fall.stops.toFixed(1)} }`
        : `error: { place: 0, lies: ${fall.bound} ${outerTenth(fall)} }`;
    claims.push(`- ${claim} # measured ${knownText(known)}, ${row.basis}`);
  }
  const record = exposure ? recordText(exposure) : "";
  if (record !== "") claims.push(`- record: { ${record} }`);
  if (clipped?.share === 0) claims.push("- unclipped: {}");
  return [
    `  ${yamlText(id)}:`,
    `    file: ${JSON.stringify(file)}`,
    `    regions: { subject: ${JSON.stringify(row.region ?? "whole")} }`,
    ...(claims.length > 0 ? ["    # claims:", ...claims.map((claim) => `    #   ${claim}`)] : []),
  ];
}

/** A bound rounded outwards, so that the claim still holds. */
function outerTenth({ stops, bound }: Pick<Fall, "stops" | "bound">): string {
  const outer = bound === "at least" ? Math.floor(10 * stops) : Math.ceil(10 * stops);
  return (outer / 10).toFixed(1);
}

/** The recorded settings as a claim has them. */
function recordText(exposure: Exposure): string {
  const { programme, mode, aperture, shutter, iso, compensation, flashFired } = exposure;
  const programmed = programme.value === "not-defined" ? null : programme.value;
  const pattern = exposure.meteringPattern.value;
  const settings = {
    mode: programmed ?? mode.value,
    pattern: pattern === "unknown" || pattern === "other" ? null : pattern,
    aperture: positive(aperture.value),
    shutter: positive(shutter.value) && shutterText(shutter.value as number),
    iso: positive(iso.value),
    compensation: compensation.value === null ? null : Number(compensation.value.toFixed(2)),
    flash: flashFired.value,
  };
  return Object.entries(settings)
    .filter(([, value]) => value !== null)
    .map(([name, value]) => `${name}: ${value}`)
    .join(", ");
}

/** A number as a claim may hold it: rounded as cameras show it, and null unless above 0. */
function positive(value: number | null): number | null {
  return value !== null && value > 0 ? Number(value.toPrecision(4)) : null;
}

function relationLines(relation: FoundRelation): string[] {
  const frames = relation.frames.map(({ id }) => yamlText(id));
  if (relation.kind === "bracket") {
    const steps = relation.offsets.map((offset) => `"${stopsText(offset)}"`).join(", ");
    return [
      `#   - bracket: { frames: [${frames.join(", ")}], steps: [${steps}], varies: ${relation.varies} }`,
    ];
  }
  if (relation.kind === "equivalent")
    return [`#   - equivalent: { frames: [${frames.join(", ")}] }`];
  const placed = relation.frames.map(({ id, read }) => {
    const stops = (read as FrameResult).fall?.stops ?? 0;
    return `{ frame: ${yamlText(id)}, place: ${stops.toFixed(1)} }`;
  });
  return [`#   - recompose: { metered: ${placed[0]}, used: ${placed[1]} }`];
}

/**
 * Names for frames from those of their files, which stay recognisable: `IMG_0042` for `IMG_0042.JPG`. Files that differ by
 * their endings alone keep them, and a name that is still taken gets a number.
 */
function idsOf(frames: readonly ProposedFrame[]): string[] {
  const stems = frames.map(({ file }) => wordsOf(file.replace(/\.[^./]*$/, "")));
  const taken = new Set<string>();
  return frames.map(({ file }, i) => {
    const stem = stems[i] as string;
    const shared = stems.filter((other) => other === stem).length > 1;
    const words = shared ? wordsOf(file) : stem;
    // Digits alone would be read as a number.
    const usual = /\p{L}/u.test(words) ? words : `frame-${words}`;
    let id = usual;
    for (let n = 2; taken.has(id); n++) id = `${usual}-${n}`;
    taken.add(id);
    return id;
  });
}

/** The letters, digits and underscores of a text in any script; everything else becomes a hyphen. */
function wordsOf(text: string): string {
  const words = text.normalize("NFC").replace(/[^\p{L}\p{M}\p{N}_]+/gu, "-");
  const first = words.replace(/^[-_\p{M}]+/u, "");
  const last = [...first].findLastIndex((letter) => letter !== "-" && letter !== "_");
  return [...first].slice(0, last + 1).join("");
}
