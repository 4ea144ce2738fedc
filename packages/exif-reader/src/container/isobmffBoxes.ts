import type { ByteSource } from "../source/byteSource.ts";
import { latin1, viewOf } from "../source/bytes.ts";

/** A box of an ISO base media file: its payload is at `[start, end)`. */
export interface Box {
  readonly type: string;
  readonly start: number;
  readonly end: number;
}

const HEADER_BYTES = 8;
const LARGE_HEADER_BYTES = 16;
const MOST_BOXES = 4096;

/** The boxes of a file, without reading their payload. */
export async function topLevelBoxes(file: ByteSource): Promise<Box[]> {
  const boxes: Box[] = [];
  for (let at = 0; at < file.size && boxes.length < MOST_BOXES; ) {
    const box = boxAt(await file.read(at, LARGE_HEADER_BYTES), at, file.size);
    if (box === null) break;
    boxes.push(box);
    at = box.end;
  }
  return boxes;
}

/** The boxes in bytes that were read. */
export function boxesIn(bytes: Uint8Array, from: number, to: number): Box[] {
  const boxes: Box[] = [];
  for (let at = from; at < to && boxes.length < MOST_BOXES; ) {
    const box = boxAt(bytes.subarray(at, Math.min(at + LARGE_HEADER_BYTES, to)), at, to);
    if (box === null) break;
    boxes.push(box);
    at = box.end;
  }
  return boxes;
}

/** The box whose header starts these bytes; size 0 means "to the end", 1 "64-bit size follows". */
function boxAt(header: Uint8Array, at: number, limit: number): Box | null {
  if (header.length < HEADER_BYTES) return null;
  const view = viewOf(header);
  const type = latin1(header, 4, 8);
  const size = view.getUint32(0);
  const isLarge = size === 1;
  if (isLarge && header.length < LARGE_HEADER_BYTES) return null;
  const length = isLarge ? Number(view.getBigUint64(8)) : size === 0 ? limit - at : size;
  const headerBytes = isLarge ? LARGE_HEADER_BYTES : HEADER_BYTES;
  if (length < headerBytes) return null;
  return { type, start: at + headerBytes, end: Math.min(at + length, limit) };
}
