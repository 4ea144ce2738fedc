import fc from "fast-check";
import { expect, test } from "vitest";
import { GraderError } from "../model/errors.ts";
import { engineShard } from "./engineShard.ts";
import { shardBlock } from "./shardBlock.ts";

const weights = fc.array(fc.integer({ min: 1, max: 60_000_000 }), { maxLength: 60 });

test("blocks cover every frame once, in order, and each weighs its share within one frame", () => {
  fc.assert(
    fc.property(weights, fc.integer({ min: 1, max: 20 }), (all, of) => {
      const blocks = Array.from({ length: of }, (_, i) => shardBlock(all, { index: i + 1, of }));
      expect(blocks[0]?.from).toBe(0);
      expect(blocks.at(-1)?.to).toBe(all.length);
      for (const [i, { to }] of blocks.slice(0, -1).entries()) expect(blocks[i + 1]?.from).toBe(to);
      const total = all.reduce((sum, weight) => sum + weight, 0);
      for (const { from, to } of blocks) {
        const own = all.slice(from, to).reduce((sum, weight) => sum + weight, 0);
        expect(Math.abs(own - total / of)).toBeLessThanOrEqual(Math.max(0, ...all) + 1e-3);
      }
    }),
  );
});

test("blocks of frames that weigh the same differ by one frame at most", () => {
  for (const [frames, of] of [
    [10, 3],
    [7, 7],
    [1000, 12],
  ] as const) {
    const all = new Array<number>(frames).fill(65_537);
    const sizes = Array.from({ length: of }, (_, i) => {
      const { from, to } = shardBlock(all, { index: i + 1, of });
      return to - from;
    });
    expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
  }
});

// What each engine hands over, by its own documentation.
test.each([
  ["Slurm, numbered from 0", { ID: "0", MIN: "0", MAX: "7", COUNT: "8" }, { index: 1, of: 8 }],
  ["Slurm, numbered from 1", { ID: "8", MIN: "1", MAX: "8", COUNT: "8" }, { index: 8, of: 8 }],
])("%s", (_, task, part) => {
  const env = Object.entries(task).map(([name, text]) => [`SLURM_ARRAY_TASK_${name}`, text]);
  expect(engineShard(Object.fromEntries(env))).toEqual(part);
});

test.each([
  ["one task of Slurm again", { SLURM_ARRAY_TASK_ID: "3", TONEFALL_SHARD_TOTAL: "8" }, 3],
  ["Kubernetes", { JOB_COMPLETION_INDEX: "0", TONEFALL_SHARD_TOTAL: "8" }, 1],
  ["GNU parallel", { PARALLEL_SEQ: "8", TONEFALL_SHARD_TOTAL: "8" }, 8],
  ["a matrix", { TONEFALL_SHARD_INDEX: "7", TONEFALL_SHARD_TOTAL: "8" }, 8],
  [
    "our own beside others",
    { TONEFALL_SHARD_INDEX: "1", PARALLEL_SEQ: "8", TONEFALL_SHARD_TOTAL: "8" },
    2,
  ],
])("%s", (_, env, index) => {
  expect(engineShard(env)).toEqual({ index, of: 8 });
});

test.each([
  ["no engine", {}, "is set"],
  ["two engines", { PARALLEL_SEQ: "1", JOB_COMPLETION_INDEX: "0" }, "both"],
  ["no total", { PARALLEL_SEQ: "1" }, "TONEFALL_SHARD_TOTAL is not set"],
  [
    "a part beyond the last",
    { JOB_COMPLETION_INDEX: "8", TONEFALL_SHARD_TOTAL: "8" },
    "from 0 to 7",
  ],
  [
    "Slurm from 0 with a total",
    { SLURM_ARRAY_TASK_ID: "0", TONEFALL_SHARD_TOTAL: "8" },
    "from 1 to 8",
  ],
  ["words", { PARALLEL_SEQ: "one", TONEFALL_SHARD_TOTAL: "8" }, "not a whole number"],
  [
    "gaps",
    ...[
      {
        SLURM_ARRAY_TASK_ID: "3",
        SLURM_ARRAY_TASK_MIN: "1",
        SLURM_ARRAY_TASK_MAX: "9",
        SLURM_ARRAY_TASK_COUNT: "5",
      },
      "in a row",
    ],
  ] as const,
])("is refused with %s", (_, env, why) => {
  expect(() => engineShard(env)).toThrow(GraderError);
  expect(() => engineShard(env)).toThrow(why);
});
