import { viewOf } from "../source/bytes.ts";
import type { Box } from "./isobmffBoxes.ts";

/** Reads big-endian numbers one after the other; throws RangeError at the end of its box. */
export class BoxCursor {
  at: number;
  readonly end: number;
  readonly #view: DataView;

  constructor(bytes: Uint8Array, box: Pick<Box, "start" | "end">) {
    this.#view = viewOf(bytes.subarray(0, box.end));
    this.at = box.start;
    this.end = box.end;
  }

  /** An unsigned number of 0, 1, 2, 4 or 8 bytes. */
  unsigned(bytes: number): number {
    const at = this.at;
    this.at += bytes;
    if (bytes === 0) return 0;
    if (bytes === 1) return this.#view.getUint8(at);
    if (bytes === 2) return this.#view.getUint16(at);
    if (bytes === 4) return this.#view.getUint32(at);
    return Number(this.#view.getBigUint64(at));
  }

  /** Version and flags of a full box. */
  version(): { version: number; flags: number } {
    const word = this.unsigned(4);
    return { version: Math.floor(word / 2 ** 24), flags: word % 2 ** 24 };
  }
}
