import type { Brief } from "../brief/brief.ts";
import type { Shard } from "../model/checkResult.ts";
import type { Note } from "../model/note.ts";
import type { FrameResult } from "../model/result.ts";
import { explain } from "../run/explain.ts";
import { gradeFrames, type RunOptions } from "../run/gradeFrames.ts";
import { shardBlock, weightsOf } from "../run/shardBlock.ts";
import type { ReadyClass, ReadyTask } from "./classFile.ts";
import type { HandedSlip, HandIn } from "./handIn.ts";
import { regionOfSlip } from "./slipRegions.ts";

/** Passes graded rows on, one by one, as they come. */
type PassRows = (rows: AsyncIterable<FrameResult>, total: number) => AsyncIterable<FrameResult>;

/**
 * The rows of hand-ins. Each is explained by the same student's rows for the same exercise alone: in a flat folder other
 * students' frames lie beside it.
 */
export async function gradeHandIns(
  ready: ReadyClass,
  slips: readonly HandedSlip[],
  handIns: readonly HandIn[],
  options: RunOptions,
  pass: PassRows,
): Promise<ReadonlyMap<HandIn, FrameResult>> {
  const briefs: Brief[] = [];
  for (const handIn of handIns) {
    const task = taskOf(ready, handIn);
    const region = await regionOfSlip(handIn, task, slips);
    briefs.push(region === null ? task.brief : { ...task.brief, region });
  }
  const graded = gradeFrames(
    handIns.map(({ path }) => path),
    (_source, index) => briefs[index] ?? {},
    { ...options, likeness: true },
  );
  const rows = new Map<HandIn, FrameResult>();
  let index = 0;
  let own: { key: string; rows: FrameResult[] } = { key: "", rows: [] };
  for await (const result of pass(graded, handIns.length)) {
    const handIn = handIns[index++] as HandIn;
    const key = JSON.stringify([handIn.exercise, handIn.student]);
    if (own.key !== key) own = { key, rows: [] };
    const row = explain(withoutPath(result, handIn), own.rows, "student");
    own.rows.push(row);
    rows.set(handIn, row);
  }
  return rows;
}

/** The hand-ins of one part of a run that is split. */
export async function blockOf(
  handIns: readonly HandIn[],
  shard: Shard,
): Promise<readonly HandIn[]> {
  const { from, to } = shardBlock(await weightsOf(handIns.map(({ path }) => path)), shard);
  return handIns.slice(from, to);
}

/** A row that names its file as results show it: the path that opens it may hold a person's name. */
function withoutPath(row: FrameResult, { path, file }: HandIn): FrameResult {
  const shown = (note: Note): Note => ({
    ...note,
    message: note.message.replaceAll(path, file),
  });
  return {
    ...row,
    file,
    notes: row.notes.map(shown),
    failure: row.failure && shown(row.failure),
  };
}

function taskOf({ exercises }: ReadyClass, { exercise, task }: HandIn): ReadyTask {
  const tasks = exercises.find(({ id }) => id === exercise)?.tasks ?? [];
  return tasks.find(({ id }) => id === task) as ReadyTask;
}
