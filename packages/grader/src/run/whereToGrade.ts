import type { Source } from "../picture/source/openSource.ts";
import type { GradeOptions } from "./gradeOptions.ts";
import { bytesOfRun, isLong } from "./lastsLong.ts";
import type { RowMemory } from "./memory/rowMemory.ts";

/**
 * Options for every frame of a run, whose `processes` is asked anew for each frame: starting processes pays where most frames
 * have to be decoded, and costs more than it saves where a memory has all but a few of them.
 */
export async function whereToGrade(
  sources: Iterable<Source>,
  options: GradeOptions,
): Promise<GradeOptions> {
  if (options.processes !== undefined) return options;
  const bytes = await bytesOfRun(sources);
  const { memory = [] } = options;
  if (!isLong(bytes) || memory.length === 0) return { ...options, processes: isLong(bytes) };
  let asked = 0;
  let recalled = 0;
  const counted = memory.map(
    (one, i): RowMemory => ({
      ...one,
      recall: async (key) => {
        if (i === 0) asked++;
        const row = await one.recall(key);
        if (row) recalled++;
        return row;
      },
    }),
  );
  return {
    ...options,
    memory: counted,
    get processes() {
      return isLong(bytes * (1 - recalled / Math.max(1, asked)));
    },
  };
}
