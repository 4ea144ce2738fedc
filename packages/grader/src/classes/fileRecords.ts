import type { FrameResult } from "../model/result.ts";
import { hashOf } from "../run/memory/contentOf.ts";
import type { RowMemory } from "../run/memory/rowMemory.ts";
import { cameraOf } from "./frameFlags.ts";
import type { HandIn } from "./handIn.ts";
import type { RecordedFile } from "./markRecord.ts";

/** Files hashed at once: most of it waits for the disk. */
const HASHED_AT_ONCE = 4;

/** Every file as the record has it; files that cannot be read are left out. */
export async function fileRecords(
  handIns: readonly HandIn[],
  rows: ReadonlyMap<HandIn, FrameResult>,
  memory: readonly RowMemory[],
): Promise<ReadonlyMap<HandIn, RecordedFile>> {
  const known = (path: string): string | null =>
    memory.map((one) => one.hashOf?.(path) ?? null).find((hash) => hash !== null) ?? null;
  const files = new Map<HandIn, RecordedFile>();
  const waiting = [...handIns];
  const hash = async (): Promise<void> => {
    for (let handIn = waiting.shift(); handIn; handIn = waiting.shift()) {
      const { exercise, student, task, file, path } = handIn;
      const sha256 = known(path) ?? (await hashOf(path).catch(() => null));
      if (sha256 === null) continue;
      const row = rows.get(handIn);
      files.set(handIn, {
        ...{ exercise, student, task, file, sha256 },
        likeness: row?.likeness ?? null,
        capturedAt: row?.exposure?.capturedAt.value ?? null,
        camera: cameraOf(row?.exposure ?? null),
      });
    }
  };
  await Promise.all(Array.from({ length: HASHED_AT_ONCE }, hash));
  return new Map(
    handIns.flatMap((handIn) => {
      const file = files.get(handIn);
      return file ? [[handIn, file] as const] : [];
    }),
  );
}
