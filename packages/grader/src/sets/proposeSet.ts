import type { Exposure, Fall, FrameResult } from "../model/result.ts";
import { stopsText } from "../model/words.ts";
import { type FoundRelation, findRelations } from "./findRelations.ts";
import { knownText, uncertaintyOf } from "./judgeStops.ts";

/** A measured frame, and its path from the set's folder. */
export interface ProposedFrame {
  readonly file: string;
  /** Measured with some placement, so that it carries an uncertainty. */
  readonly row: FrameResult;
}

/**
 * A first set file for frames: what was measured stands as claims in comments, and what look like exercises as
 * relations, for the author to confirm. What a frame was meant to show, no measurement can say.
 *
 * @param name - of the set
 */
export function proposeSet(name: string, frames: readonly ProposedFrame[]): string {
  const ids = idsOf(frames);
  const readable = frames.flatMap((frame, i) =>
    frame.row.failure ? [] : [{ ...frame, id: ids[i] as string }],
  );
  const relations = findRelations(readable.map(({ id, row }) => ({ id, read: row })));
  return [
    "# A first set file: what the pictures show now. Take away the # before a claim that you mean, give regions their",
    "# places and names, and change what the numbers say into what the picture is there to teach.",
    `# Then: tonefall check set.yaml --update-pins`,
    "",
    `set: ${JSON.stringify(name)}`,
    "frames:",
    ...readable.flatMap(frameLines),
    ...(relations.length > 0 ? ["# relations:", ...relations.flatMap(relationLines)] : []),
    "",
  ].join("\n");
}

function frameLines({ id, file, row }: ProposedFrame & { readonly id: string }): string[] {
  const { fall, exposure, clipped } = row;
  const claims: string[] = [];
  if (fall) {
    const known = { stops: fall.stops, bound: fall.bound, uncertainty: uncertaintyOf(row) };
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
    `  ${id}:`,
    `    file: ${JSON.stringify(file)}`,
    `    regions: { subject: ${JSON.stringify(row.region ?? "whole")} }`,
    ...(claims.length > 0 ? ["    # claims:", ...claims.map((claim) => `    #   ${claim}`)] : []),
  ];
}

/** A bound rounded away from what it leaves open, so that it still holds. */
function outerTenth({ stops, bound }: Pick<Fall, "stops" | "bound">): string {
  const outer = bound === "at least" ? Math.floor(10 * stops) : Math.ceil(10 * stops);
  return (outer / 10).toFixed(1);
}

function recordText({ programme, meteringPattern, iso, flashFired }: Exposure): string {
  const pattern = meteringPattern.value;
  const known = pattern !== null && pattern !== "unknown" && pattern !== "other";
  const mode = programme.value === "not-defined" ? null : programme.value;
  return [
    ...(mode === null ? [] : [`mode: ${mode}`]),
    ...(known ? [`pattern: ${pattern}`] : []),
    ...(iso.value === null ? [] : [`iso: ${iso.value}`]),
    ...(flashFired.value === null ? [] : [`flash: ${flashFired.value}`]),
  ].join(", ");
}

function relationLines(relation: FoundRelation): string[] {
  const frames = relation.frames.map(({ id }) => id);
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
    return `{ frame: ${id}, place: ${stops.toFixed(1)} }`;
  });
  return [`#   - recompose: { metered: ${placed[0]}, used: ${placed[1]} }`];
}

/** Names for frames from those of their files: letters, digits and hyphens, each once. */
function idsOf(frames: readonly ProposedFrame[]): string[] {
  const taken = new Set<string>();
  return frames.map(({ file }) => {
    const bare = file.replace(/\.[^./]*$/, "").toLowerCase();
    const words = bare.replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "");
    // Digits alone would be read as a number.
    const slug = /[a-z]/.test(words) ? words : `frame-${words}`;
    let id = slug;
    for (let n = 2; taken.has(id); n++) id = `${slug}-${n}`;
    taken.add(id);
    return id;
  });
}
