import type { Shard } from "../model/checkResult.ts";
import { GraderError } from "../model/errors.ts";

/** What engines that run jobs in parts say to each part. */
type Environment = Readonly<Record<string, string | undefined>>;

/** How many parts there are, where the engine does not say. */
const TOTAL = "TONEFALL_SHARD_TOTAL";

/** Engines by the variable that numbers their parts. */
const ENGINES = {
  /** Our own, for engines that have no variable: counts from 0. */
  TONEFALL_SHARD_INDEX: (env) => ofTotal(env, "TONEFALL_SHARD_INDEX", 0),
  /** Kubernetes, an Indexed Job: counts from 0. */
  JOB_COMPLETION_INDEX: (env) => ofTotal(env, "JOB_COMPLETION_INDEX", 0),
  SLURM_ARRAY_TASK_ID: slurmTask,
  /** GNU parallel: counts from 1. */
  PARALLEL_SEQ: (env) => ofTotal(env, "PARALLEL_SEQ", 1),
} satisfies Record<string, (env: Environment) => Shard>;

/**
 * Which part of a run this process is to do, by what the engine that started it says: Slurm, Kubernetes, GNU parallel, or
 * any other by `TONEFALL_SHARD_INDEX` (from 0) and `TONEFALL_SHARD_TOTAL`.
 *
 * @throws {@link GraderError} `bad-option` where no engine says so, or more than one, or not all that is needed
 */
export function engineShard(env: Environment): Shard {
  const names = Object.keys(ENGINES) as (keyof typeof ENGINES)[];
  const set = names.filter((name) => env[name] !== undefined && env[name] !== "");
  // Whoever sets our own variable has chosen among engines.
  const [name, other] = set.includes("TONEFALL_SHARD_INDEX") ? set.slice(0, 1) : set;
  if (name === undefined) {
    throw refusal(`none of ${names.join(", ")} is set. Give the part itself, such as --shard 2/8`);
  }
  if (other !== undefined) {
    throw refusal(
      `both ${name} and ${other} are set. Set TONEFALL_SHARD_INDEX, from 0, and ${TOTAL}`,
    );
  }
  return ENGINES[name](env);
}

/** An array job of Slurm, whose tasks the user numbers. One of them run again is alone in its array, so it needs the total. */
function slurmTask(env: Environment): Shard {
  if (env[TOTAL]) return ofTotal(env, "SLURM_ARRAY_TASK_ID", 1);
  const [id, least, most, count] = ["ID", "MIN", "MAX", "COUNT"].map((name) =>
    wholeNumber(env, `SLURM_ARRAY_TASK_${name}`),
  ) as [number, number, number, number];
  if (most - least + 1 !== count) {
    throw refusal(
      `the array has ${count} tasks numbered from ${least} to ${most}. Number all tasks in a row, or set ${TOTAL} and number them from 1`,
    );
  }
  return { index: id - least + 1, of: count };
}

function ofTotal(env: Environment, name: string, first: number): Shard {
  const of = wholeNumber(env, TOTAL);
  const index = wholeNumber(env, name) - first + 1;
  if (index >= 1 && index <= of) return { index, of };
  throw refusal(
    `${name} is ${env[name]}, and ${of} parts are numbered from ${first} to ${of - 1 + first}`,
  );
}

function wholeNumber(env: Environment, name: string): number {
  const text = env[name] ?? "";
  if (/^\d{1,6}$/.test(text)) return Number(text);
  throw refusal(text === "" ? `${name} is not set` : `${name} is not a whole number`);
}

function refusal(why: string): GraderError {
  return new GraderError("bad-option", `Expected --shard auto to find its part, but ${why}`);
}
