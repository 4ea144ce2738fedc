import { createHash } from "node:crypto";
import { z } from "zod";
import { GraderError } from "../model/errors.ts";
import { VOICES, type Voice } from "../model/feedback.ts";
import type { FrameResult, RowShard } from "../model/result.ts";
import { explained, isExplainedByPart } from "./explain.ts";
import { digestOf } from "./memory/claimDigest.ts";
import { withPairs } from "./pairShots.ts";
import { isAsWritten } from "./summedRow.ts";

/** Graded rows of one part of a run. */
export interface RunPart {
  /** What to call it in a refusal. */
  readonly name: string;
  /** Its rows in order. They are read twice or more, so that only one row need be in memory. */
  readonly rows: () => AsyncIterable<FrameResult>;
}

/** Rows joined from the parts of a run, or from several runs. */
export interface MergedRun {
  /**
   * Rows as a single run would have given them. Several runs follow one another, and each row names its `run`. They may be
   * gone through again: each time the parts are read anew.
   */
  readonly rows: AsyncIterable<FrameResult>;
  /** Whether they come from several runs. */
  readonly joined: boolean;
  /** Whom the grades in words address; null without words. */
  readonly voice: Voice | null;
}

const shardSchema: z.ZodType<RowShard> = z.object({
  index: z.int().min(1),
  of: z.int().min(1),
  place: z.int().min(1),
  frames: z.int().min(1),
  first: z.int().min(1),
  last: z.int().min(1),
  folder: z.string(),
  run: z.string(),
  voice: z.enum(VOICES).nullable(),
  sum: z.string(),
});

/**
 * Joins results of `grade`. Parts of one sharded run become the rows that one run would have given: pairs, and the causes of
 * the first rows of a part, are found anew across the edges of parts. Results of different runs follow one another, and each row names its run.
 *
 * @param parts - results that are whole, and every part of those that were split; each once, in any order
 * @throws {@link GraderError} `bad-option` when a part is missing or damaged, or rows appear twice
 */
export async function mergeRows(parts: readonly RunPart[]): Promise<MergedRun> {
  const looks: PartLook[] = [];
  for (const part of parts) looks.push(await look(part));
  requireDifferent(looks);
  const runs = runsOf(looks).map(joinedRun);
  const [alone] = runs;
  const voice = runs.find((run) => run.voice !== null)?.voice ?? null;
  const joined = looks.some(({ joined }) => joined) || runs.length > 1;
  if (alone && runs.length === 1) return { rows: alone.rows, voice, joined };
  return { rows: anew(() => oneAfterAnother(runs)), voice, joined };
}

/** Rows that are made anew each time they are gone through. */
function anew(rows: () => AsyncIterable<FrameResult>): AsyncIterable<FrameResult> {
  return { [Symbol.asyncIterator]: () => rows()[Symbol.asyncIterator]() };
}

/** The rows of one run. */
interface OneRun {
  /** Its first part's. */
  readonly name: string;
  readonly rows: AsyncIterable<FrameResult>;
  readonly voice: Voice | null;
}

/** The parts of each run, in the order in which the runs first appear. A part without rows fits any run. */
function runsOf(looks: readonly PartLook[]): readonly [PartLook, ...PartLook[]][] {
  const runs = new Map<unknown, [PartLook, ...PartLook[]]>();
  for (const look of looks.filter(({ rows }) => rows > 0)) {
    const key = look.first?.run ?? look;
    const run = runs.get(key);
    if (run) run.push(look);
    else runs.set(key, [look]);
  }
  const [first] = looks;
  if (runs.size > 0 || !first) return [...runs.values()];
  if (looks.length > 1) throw unmergeable("they hold no rows");
  return [[first]];
}

function joinedRun([first, ...rest]: readonly [PartLook, ...PartLook[]]): OneRun {
  const { part, voice } = first;
  if (first.first === null) return { name: part.name, rows: anew(part.rows), voice };
  const sorted = [first, ...rest].filter(isPart).sort((a, b) => a.first.place - b.first.place);
  const spoken = requireWhole(sorted);
  // What could tell a pair is kept to the end, so only where there are raw and rendered files.
  const mayPair = sorted.some(({ raw }) => raw) && sorted.some(({ rendered }) => rendered);
  const rows = (): AsyncIterable<FrameResult> => {
    const joined = withoutShards(explained(inTurn(sorted), spoken ?? undefined, isExplained));
    return mayPair ? withPairs(joined) : joined;
  };
  return { name: part.name, rows: anew(rows), voice: spoken };
}

async function* oneAfterAnother(runs: readonly OneRun[]): AsyncGenerator<FrameResult> {
  for (const { name, rows } of runs) {
    // A row that was merged before keeps the name of its run.
    for await (const row of rows) yield { ...row, run: row.run ?? name };
  }
}

/** Refuses the same result twice: its frames would count twice. */
function requireDifferent(looks: readonly PartLook[]): void {
  const seen = new Map<string, string>();
  for (const { part, rows, first, digest } of looks) {
    if (rows === 0 || first) continue;
    const other = seen.get(digest);
    if (other !== undefined) {
      throw unmergeable(`${other} and ${part.name} hold the same rows: give that result once`);
    }
    seen.set(digest, part.name);
  }
}

/** What a part shows on first reading. */
interface PartLook {
  readonly part: RunPart;
  /** The place of its first row; null for a whole run, or without rows. */
  readonly first: RowShard | null;
  readonly rows: number;
  readonly voice: Voice | null;
  /** Whether its rows name the run they came from, as those of an earlier merge do. */
  readonly joined: boolean;
  /** Whether any of its rows is of a raw file, and any of another. */
  readonly raw: boolean;
  readonly rendered: boolean;
  /** Of all rows that have no place. */
  readonly digest: string;
}

async function look(part: RunPart): Promise<PartLook> {
  let first: RowShard | null = null;
  let rows = 0;
  let voice: Voice | null = null;
  let joined = false;
  let [raw, rendered] = [false, false];
  const digest = createHash("sha256");
  for await (const row of part.rows()) {
    const { shard, feedback } = row;
    if (rows === 0) first = shard ? readShard(part, shard) : null;
    if (shard && !isAsWritten(row)) {
      throw unmergeable(`row ${rows + 1} of ${part.name} is damaged: grade that part again`);
    }
    const place = shard && readShard(part, shard).place;
    if (place !== (first ? first.place + rows : undefined)) {
      throw unmergeable(`the rows of ${part.name} do not follow one another after row ${rows}`);
    }
    voice ??= first?.voice ?? feedback?.voice ?? null;
    joined ||= row.run !== undefined;
    if (row.sensor) raw = true;
    else rendered = true;
    // Only whole results are compared: rows of a part have their places.
    if (!shard) digest.update(digestOf(row));
    rows++;
  }
  return { part, first, rows, voice, joined, raw, rendered, digest: digest.digest("hex") };
}

function readShard({ name }: RunPart, shard: unknown): RowShard {
  const parsed = shardSchema.safeParse(shard);
  if (parsed.success) return parsed.data;
  throw unmergeable(`${name} has rows that do not say where they stand in the run`);
}

function isPart(look: PartLook): look is PartLook & { readonly first: RowShard } {
  return look.first !== null;
}

function requireWhole(
  sorted: readonly (PartLook & { readonly first: RowShard })[],
): RowShard["voice"] {
  const [start] = sorted;
  if (!start) throw unmergeable("they hold no rows");
  const { of, frames, voice } = start.first;
  let next = 1;
  for (const { first, rows, part } of sorted) {
    if (first.of !== of || first.voice !== voice) {
      throw unmergeable(
        `${part.name} and ${start.part.name} were split differently or use different voices: grade both with the same --shard and --voice`,
      );
    }
    if (first.place < next) {
      throw unmergeable(`frame ${first.place} of ${frames} appears twice: again in ${part.name}`);
    }
    if (first.place > next) throw missing(next, first.place - 1, sorted);
    next = first.place + rows;
  }
  if (next <= frames) throw missing(next, frames, sorted);
  return voice;
}

/** Which frames are missing, and the parts that have them: those between the parts that are there, and those cut short. */
function missing(
  from: number,
  to: number,
  sorted: readonly (PartLook & { readonly first: RowShard })[],
): GraderError {
  const [{ part, first }] = sorted as readonly [PartLook & { readonly first: RowShard }];
  const shards = sorted.map((look) => look.first);
  const before = shards.findLast(({ place }) => place < from);
  const after = shards.find(({ place }) => place > to);
  const least = before && before.last >= from ? before.index : (before?.index ?? 0) + 1;
  const most = after && after.first <= to ? after.index : (after?.index ?? first.of + 1) - 1;
  const indices = Array.from({ length: most - least + 1 }, (_, i) => `${least + i}/${first.of}`);
  const named = indices.slice(0, MOST_NAMED);
  const more = indices.length > MOST_NAMED ? ` and ${indices.length - MOST_NAMED} more` : "";
  const what =
    from === to
      ? `frame ${from} of ${first.frames} is`
      : `frames ${from} to ${to} of ${first.frames} are`;
  return unmergeable(
    `${what} missing from the run of ${part.name}: give part ${named.join(", ")}${more} whole. ` +
      "Parts of one run have the same files, briefs, options and version",
  );
}

/** Parts that a message names. */
const MOST_NAMED = 20;

/** Whether a row's part had all that explains it; its checksum says that it is still as that part wrote it. */
function isExplained({ shard }: FrameResult): boolean {
  return shard !== undefined && isExplainedByPart(shard);
}

async function* withoutShards(rows: AsyncIterable<FrameResult>): AsyncGenerator<FrameResult> {
  for await (const { shard: _, ...row } of rows) yield row;
}

/**
 * The rows of all parts, without their pairs, which other parts may hold. Machines may reach the same files by different
 * paths: all rows are named as the first part's are.
 */
async function* inTurn(
  parts: readonly (PartLook & { readonly first: RowShard })[],
): AsyncGenerator<FrameResult> {
  const folder = parts[0]?.first.folder ?? "";
  for (const { part, first } of parts) {
    for await (const row of part.rows()) {
      const { pair: _, ...own } = row;
      yield inFolder(own, first.folder, folder);
    }
  }
}

/** A row whose files lie in another folder: its own, and the kit's where that lies there too. */
function inFolder(row: FrameResult, from: string, to: string): FrameResult {
  if (from === to) return row;
  const moved = (file: string): string =>
    file.startsWith(from) ? to + file.slice(from.length) : file;
  const { kit } = row;
  // Notes on kits name their files.
  const named = kit?.file ?? from;
  const notes = row.notes.map((note) =>
    note.code.startsWith("kit-") && named !== ""
      ? { ...note, message: note.message.replaceAll(named, moved(named)) }
      : note,
  );
  return {
    ...row,
    file: moved(row.file),
    notes,
    ...(kit ? { kit: { ...kit, file: moved(kit.file) } } : {}),
  };
}

function unmergeable(why: string): GraderError {
  return new GraderError(
    "bad-option",
    `Expected whole results of grade, or every part of a split one, but ${why}`,
  );
}
