import { z } from "zod";
import { GraderError } from "../model/errors.ts";
import { VOICES, type Voice } from "../model/feedback.ts";
import type { FrameResult, RowShard } from "../model/result.ts";
import { explained } from "./explain.ts";
import { withPairs } from "./pairShots.ts";
import { shardBlock } from "./shardBlock.ts";
import { isAsWritten } from "./summedRow.ts";

/** Graded rows of one part of a run. */
export interface RunPart {
  /** What to call it in a refusal. */
  readonly name: string;
  /** Its rows in their order; gone over twice, so that no more than a row need be in memory. */
  readonly rows: () => AsyncIterable<FrameResult>;
}

/** A run joined from its parts. */
export interface MergedRun {
  /** Rows as one run would have given them. */
  readonly rows: AsyncIterable<FrameResult>;
  /** To whom the grades in words are spoken; null without words. */
  readonly voice: Voice | null;
}

const shardSchema: z.ZodType<RowShard> = z.object({
  index: z.int().min(1),
  of: z.int().min(1),
  place: z.int().min(1),
  frames: z.int().min(1),
  run: z.string(),
  voice: z.enum(VOICES).nullable(),
  sum: z.string(),
});

/**
 * Joins the parts of a sharded run of `grade` into the rows that one run would have given: causes are told again from the
 * rows before, and pairs found, across the edges of parts too.
 *
 * @param parts - every part once, in any order; or one result that is whole already
 * @throws {@link GraderError} `bad-option` when rows are missing, come twice, or are of different runs
 */
export async function mergeRows(parts: readonly RunPart[]): Promise<MergedRun> {
  const looks: PartLook[] = [];
  for (const part of parts) looks.push(await look(part));
  const [alone] = looks;
  if (alone && looks.length === 1 && alone.first === null) {
    return { rows: alone.part.rows(), voice: alone.voice };
  }
  const sorted = looks.filter(isPart).sort((a, b) => a.first.place - b.first.place);
  const voice = requireWhole(sorted);
  const rows = inTurn(sorted.map(({ part }) => part));
  return { rows: withPairs(explained(rows, voice ?? undefined)), voice };
}

/** What the first look at a part shows. */
interface PartLook {
  readonly part: RunPart;
  /** Where its first row stands; null for a whole run, and where it has no rows. */
  readonly first: RowShard | null;
  readonly rows: number;
  readonly voice: Voice | null;
}

async function look(part: RunPart): Promise<PartLook> {
  let first: RowShard | null = null;
  let rows = 0;
  let voice: Voice | null = null;
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
    rows++;
  }
  return { part, first, rows, voice };
}

function readShard({ name }: RunPart, shard: unknown): RowShard {
  const parsed = shardSchema.safeParse(shard);
  if (parsed.success) return parsed.data;
  throw unmergeable(`${name} says of no row where it stands in the run`);
}

/** A part that has rows; one of a split into more parts than frames has none, and is not missed. */
function isPart(look: PartLook): look is PartLook & { readonly first: RowShard } {
  if (look.first) return true;
  if (look.rows === 0) return false;
  throw unmergeable(`${look.part.name} is of a run that was not split`);
}

function requireWhole(
  sorted: readonly (PartLook & { readonly first: RowShard })[],
): RowShard["voice"] {
  const [start] = sorted;
  if (!start) throw unmergeable("they hold no rows");
  const { run, of, frames, voice } = start.first;
  let next = 1;
  for (const { first, rows, part } of sorted) {
    if (first.run !== run || first.of !== of || first.voice !== voice) {
      throw unmergeable(
        `${part.name} and ${start.part.name} are of different runs: their files, briefs, options or versions differ`,
      );
    }
    if (first.place < next) {
      throw unmergeable(`frame ${first.place} of ${frames} comes twice, again in ${part.name}`);
    }
    if (first.place > next) throw missing(next, first.place - 1, first);
    next = first.place + rows;
  }
  if (next <= frames) throw missing(next, frames, start.first);
  return voice;
}

function missing(from: number, to: number, { of, frames }: RowShard): GraderError {
  const parts: string[] = [];
  for (let index = 1; index <= of; index++) {
    const block = shardBlock(frames, { index, of });
    if (block.from < to && block.to >= from && block.to > block.from) parts.push(`${index}/${of}`);
  }
  return unmergeable(
    `frames ${from} to ${to} of ${frames} are not among them: give part ${parts.join(", ")} whole`,
  );
}

/** The rows of all parts, without what is told from other rows. */
async function* inTurn(parts: readonly RunPart[]): AsyncGenerator<FrameResult> {
  for (const part of parts) {
    for await (const row of part.rows()) {
      const { shard: _shard, pair: _pair, feedback: _feedback, ...own } = row;
      yield own;
    }
  }
}

function unmergeable(why: string): GraderError {
  return new GraderError(
    "bad-option",
    `Expected every part of one sharded run of grade to merge, but ${why}`,
  );
}
