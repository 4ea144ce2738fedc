import { constants, createReadStream, fstatSync, openSync } from "node:fs";
import { Socket } from "node:net";

/**
 * All bytes of a file, a device or a pipe.
 *
 * Waiting for a pipe holds no thread, so that a signal ends the process although nobody writes to the pipe.
 *
 * @param mostBytes - where reading stops
 * @returns null where there are more bytes
 * @throws the system's error where the path cannot be opened or read
 */
export async function readWhole(path: string, mostBytes: number): Promise<Buffer | null> {
  // Without O_NONBLOCK a pipe without a writer holds this thread in open; Windows has neither.
  const fd = openSync(path, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0));
  const stream = fstatSync(fd).isFIFO()
    ? new Socket({ fd, readable: true, writable: false })
    : createReadStream("", { fd });
  return joined(stream, mostBytes);
}

/** The chunks of a stream as one buffer; null where they come to more than so many bytes. */
export async function joined(
  chunks: AsyncIterable<Uint8Array | string>,
  mostBytes: number,
): Promise<Buffer | null> {
  const read: Buffer[] = [];
  let bytes = 0;
  for await (const chunk of chunks) {
    read.push(Buffer.from(chunk as Uint8Array));
    bytes += chunk.length;
    if (bytes > mostBytes) return null;
  }
  return Buffer.concat(read);
}
