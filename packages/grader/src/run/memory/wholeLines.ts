import type { FileHandle } from "node:fs/promises";

const NEWLINE = 10;

/** Some rows. Chunks of a megabyte would lie about until they are collected, when thousands of short files are read. */
const CHUNK_BYTES: number = 2 ** 16;

/**
 * The lines of a file without their line ends, read in chunks. What follows the last line end is not a whole line; line ends within JSON texts are escaped, so that lines are rows.
 */
export async function* wholeLines(file: FileHandle): AsyncGenerator<Buffer> {
  let rest: Buffer[] = [];
  for (let at = 0; ; ) {
    const { bytesRead, buffer } = await file.read(Buffer.alloc(CHUNK_BYTES), 0, CHUNK_BYTES, at);
    if (bytesRead === 0) return;
    at += bytesRead;
    const chunk = buffer.subarray(0, bytesRead);
    let from = 0;
    for (let end = chunk.indexOf(NEWLINE); end >= 0; end = chunk.indexOf(NEWLINE, from)) {
      yield Buffer.concat([...rest, chunk.subarray(from, end)]);
      rest = [];
      from = end + 1;
    }
    rest.push(chunk.subarray(from));
  }
}
