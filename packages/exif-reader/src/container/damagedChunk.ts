import type { ExifNote } from "../exposureRecord.ts";

/**
 * The note of a PNG chunk that was ignored because it does not match its checksum.
 *
 * @param type - the chunk's four letters
 */
export function damagedChunk(type: string): ExifNote {
  return {
    code: "chunk-damaged",
    message: `The PNG's ${type} chunk does not match its checksum, so it was ignored; copy the file again from where it came.`,
  };
}
