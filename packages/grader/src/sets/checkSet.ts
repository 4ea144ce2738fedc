import { availableParallelism } from "node:os";
import { join, relative } from "node:path";
import pMap from "p-map";
import { type NamedKit, readKitFile } from "../kit/kitFile.ts";
import {
  CHECK_VERSION,
  type CheckedSet,
  type CheckResult,
  type CheckRow,
  type RowKind,
  type Shard,
  summariseCheck,
} from "../model/checkResult.ts";
import { type DecodeLimits, limitsIn } from "../picture/decodeLimits.ts";
import { findFrames } from "../run/findFrames.ts";
import { lastsLong } from "../run/lastsLong.ts";
import type { RowMemory } from "../run/memory/rowMemory.ts";
import type { SeenFrame } from "../run/seenFrame.ts";
import { type Finding, finding, notRun } from "./finding.ts";
import type { FrameFacts, SetFacts } from "./frameFacts.ts";
import { judgeClaim } from "./judgeClaim.ts";
import { judgeKit } from "./judgeKit.ts";
import { judgePin } from "./judgePin.ts";
import { judgeRelation } from "./judgeRelation.ts";
import { type FrameAsks, folded, measureFacts } from "./measureFacts.ts";
import { readSet } from "./readSet.ts";
import { asksOf, type ReadyFrame, type ReadyRelation, type ReadySet } from "./readySet.ts";
import { summedCheck } from "./summedCheck.ts";

/** How sets are checked. */
export interface CheckOptions extends DecodeLimits {
  /**
   * Which part to run; parts are joined by {@link mergeChecks}.
   * @default all of it
   */
  readonly shard?: Shard | null;
  /**
   * Frames in work at once.
   * @default one for each processor
   */
  readonly jobs?: number;
  /**
   * Where measured rows are kept, and looked up.
   * @default everything is measured
   */
  readonly memory?: readonly RowMemory[];
  /**
   * Decode and measure in processes beside this one, as `gradeFrames` does; where somebody watches, never.
   * @default true where a set lasts long enough to win by it
   */
  readonly processes?: boolean;
  /**
   * Sees frames while they are measured; {@link checkReport} makes one.
   * @default nobody watches
   */
  readonly watch?: CheckWatch | null;
}

/** Who sees the frames of a check; {@link checkReport} makes one. Its calls are the check's alone, and may change. */
export interface CheckWatch {
  /**
   * Is told of the sets before the first is opened.
   *
   * @internal
   */
  begin(sets: readonly ReadySet[]): void;
  /**
   * Sees a frame's pixels, once for each tone that is measured.
   *
   * @internal
   */
  look(set: ReadySet, frame: ReadyFrame, seen: SeenFrame): Promise<void>;
  /**
   * Is told when a frame has been measured; the check goes on when it has done with it.
   *
   * @param units - the frame's own, or none where another part of the check has it
   * @internal
   */
  measured(
    set: ReadySet,
    units: readonly Unit[],
    frame: ReadyFrame,
    facts: FrameFacts,
  ): Promise<void>;
}

/**
 * Checks sample sets: whether their pictures show what the set files claim.
 *
 * @param paths - set files
 * @throws {@link GraderError} `bad-set` when one of them is wrong, before any picture is opened
 *
 * @example
 * ```ts
 * const { summary } = await checkSets(["samples/harbour/set.yaml"]);
 * summary.failing; // => 0
 * ```
 */
export async function checkSets(
  paths: readonly string[],
  { shard = null, jobs, memory = [], processes, watch = null, ...rest }: CheckOptions = {},
): Promise<CheckResult> {
  const sets: ReadySet[] = [];
  for (const path of paths) sets.push((await readSet(path)).set);
  const named = new Set(
    sets.flatMap(({ folder, frames }) => frames.map(({ file }) => join(folder, file))),
  );
  watch?.begin(sets);
  const checked: CheckedSet[] = [];
  for (const set of sets) {
    const units = unitsOf(set).filter((_, unit) => inShard(unit, shard));
    const facts = await measureSet(set, units, {
      jobs,
      memory,
      processes,
      watch,
      ...limitsIn(rest),
    });
    const extras = units.some(({ kind }) => kind === "extras") ? await extraFiles(set, named) : [];
    checked.push(judgeSet(set, units, facts, extras));
  }
  const summary = summariseCheck(checked);
  return summedCheck({ schemaVersion: CHECK_VERSION, sets: checked, summary }, shard);
}

/** {@link checkSets} for one set file. */
export async function checkSet(path: string, options: CheckOptions = {}): Promise<CheckResult> {
  return checkSets([path], options);
}

/** What a check is made of, and split by: each frame, each relation, and what lies beside them. */
export type Unit =
  | { readonly unit: number; readonly kind: "frame"; readonly frame: ReadyFrame }
  | { readonly unit: number; readonly kind: "relation"; readonly relation: ReadyRelation }
  | { readonly unit: number; readonly kind: "extras" };

/** The units of a set, in the order of its file. */
export function unitsOf({ frames, relations }: ReadySet): Unit[] {
  const first = frames.length;
  return [
    ...frames.map((frame, unit): Unit => ({ unit, kind: "frame", frame })),
    ...relations.map((relation, i): Unit => ({ unit: first + i, kind: "relation", relation })),
    { unit: first + relations.length, kind: "extras" },
  ];
}

function inShard(unit: number, shard: Shard | null): boolean {
  return shard === null || unit % shard.of === shard.index - 1;
}

interface MeasureSetOptions extends DecodeLimits {
  readonly jobs?: number | undefined;
  readonly memory?: readonly RowMemory[];
  readonly processes?: boolean | undefined;
  readonly watch?: CheckWatch | null;
}

/** Reads and measures every frame that some units rest on. */
export async function measureSet(
  set: ReadySet,
  units: readonly Unit[],
  {
    jobs = availableParallelism(),
    memory = [],
    processes,
    watch = null,
    ...rest
  }: MeasureSetOptions = {},
): Promise<SetFacts> {
  const asks = new Map<string, { tones: FrameAsks["tones"][number][]; readings: boolean }>();
  const askedOf = (id: string) => {
    const known = asks.get(id) ?? { tones: [], readings: false };
    asks.set(id, known);
    return known;
  };
  for (const unit of units) {
    if (unit.kind === "extras") continue;
    const entries = unit.kind === "frame" ? unit.frame.claims : [unit.relation];
    if (unit.kind === "frame") askedOf(unit.frame.id);
    for (const entry of entries) {
      for (const ask of asksOf(entry)) {
        const asked = askedOf(ask.frame);
        asked.tones.push(ask);
        asked.readings ||= entry.kind === "reading";
      }
    }
  }
  const frames = set.frames.filter(({ id }) => asks.has(id));
  const kits = await kitsOf(set.folder, frames);
  const files = frames.map(({ file }) => join(set.folder, file));
  const apart = watch === null && (processes ?? (await lastsLong(files)));
  const measured = await pMap(
    frames,
    async (frame) => {
      const { id } = frame;
      const kit = kits.get(frame.kit?.measured ?? "") ?? null;
      const asked = { ...(asks.get(id) as FrameAsks), kit };
      const look = watch?.look.bind(watch, set, frame);
      const facts = await measureFacts(set.folder, frame, asked, {
        memory,
        processes: apart,
        look,
        ...limitsIn(rest),
      });
      const own = units.filter((unit) => unit.kind === "frame" && unit.frame.id === id);
      await watch?.measured(set, own, frame, facts);
      return [id, watch ? withoutHistograms(facts) : facts] as const;
    },
    { concurrency: jobs },
  );
  return new Map(measured);
}

/** What judgement needs: histograms are for who watches. */
export function withoutHistograms(facts: FrameFacts): FrameFacts {
  const tones = [...facts.tones].map(([key, { histograms: _, ...row }]) => [key, row] as const);
  return { ...facts, tones: new Map(tones) };
}

/**
 * The measured kits that frames of a set name, each read once. A folder of kits beside the pictures counts for nothing: what
 * a set is judged by stands in its file.
 */
async function kitsOf(
  folder: string,
  frames: readonly ReadyFrame[],
): Promise<ReadonlyMap<string, NamedKit>> {
  const files = new Set(frames.flatMap(({ kit }) => kit?.measured ?? []));
  const kits = new Map<string, NamedKit>();
  for (const file of files) {
    kits.set(file, { ...(await readKitFile(join(folder, file))), file });
  }
  return kits;
}

/**
 * Judges the units of a set by what was measured; pure.
 *
 * @param extras - pictures beside the set's, from its folder
 */
export function judgeSet(
  set: ReadySet,
  units: readonly Unit[],
  facts: SetFacts,
  extras: readonly string[],
): CheckedSet {
  const rows = units.flatMap((unit): CheckRow[] => {
    const row = (
      id: string,
      kind: RowKind,
      frames: readonly string[],
      at: { line: number; column: number },
      found: Finding,
    ): CheckRow => ({
      id,
      kind,
      frames,
      ...found,
      line: at.line,
      column: at.column,
      fails: fails(found, set),
      unit: unit.unit,
    });
    if (unit.kind === "extras") {
      return extras.map((file) =>
        row(`extra/${file}`, "file", [], { line: 1, column: 1 }, extraFile(file)),
      );
    }
    if (unit.kind === "relation") {
      const { relation } = unit;
      const frames = [...new Set(asksOf(relation).map(({ frame }) => frame))];
      return judgeRelation(relation, facts).map(({ part, finding }) =>
        row(`${relation.id}/${part}`, relation.kind, frames, relation.at, finding),
      );
    }
    const { frame } = unit;
    const known = facts.get(frame.id) as FrameFacts;
    const kit = judgeKit(frame, known);
    const pinRows = judgePin(frame, known, set).map((found, i) =>
      // The first says whether the bytes are the pinned ones, the others what came with them.
      row(
        i === 0 ? `${frame.id}/pin` : `${frame.id}/pin-${i}-${found.code}`,
        "pin",
        [frame.id],
        frame.at,
        found,
      ),
    );
    return [
      ...fileFindings(frame, known, set).map((found) =>
        row(`${frame.id}/${found.code}`, "file", [frame.id], frame.at, found),
      ),
      ...pinRows,
      ...(kit ? [row(`${frame.id}/kit`, "kit", [frame.id], frame.at, kit)] : []),
      ...frame.claims.map((claim) =>
        row(claim.id, claim.kind, [frame.id], claim.at, judgeClaim(claim, frame, facts)),
      ),
    ];
  });
  return { file: set.path, name: set.name, sha256: set.sha256, allow: set.allow, rows };
}

function fails({ outcome, code }: Finding, { allow }: ReadySet): boolean {
  if (outcome === "kept") return false;
  if (outcome === "undecided") return !allow.includes("undecided");
  return !(code === "extra-file" && allow.includes("extra-file"));
}

function fileFindings(
  frame: ReadyFrame,
  { failure, caseClash }: FrameFacts,
  set: ReadySet,
): Finding[] {
  const found: Finding[] = [];
  if (failure) found.push(notRun(`a picture at ${frame.file}`, frame.id, failure));
  const twin = set.frames.find(
    ({ id, file }) => id !== frame.id && file !== frame.file && folded(file) === folded(frame.file),
  );
  const clash = caseClash ?? twin?.file ?? null;
  if (clash !== null) {
    const sentence = `${frame.file} and ${clash} differ only by the case of letters, which some file systems cannot hold apart.`;
    found.push(finding("missed", "case-clash", frame.file, clash, sentence));
  }
  return found;
}

function extraFile(file: string): Finding {
  const sentence = `${file} lies in the set's folder, but no frame of the set names it.`;
  return finding("missed", "extra-file", "no picture that the set does not name", file, sentence);
}

/** Pictures in a set's folder that no checked set names, from that folder. */
async function extraFiles({ folder }: ReadySet, named: ReadonlySet<string>): Promise<string[]> {
  const { frames } = await findFrames([folder]);
  return frames
    .filter(({ path }) => !named.has(join(path)))
    .map(({ path }) => relative(folder, path).replaceAll("\\", "/"));
}
