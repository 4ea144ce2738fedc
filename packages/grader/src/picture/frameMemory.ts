import { letGo } from "./letGo.ts";

/** How long unused memory is kept. */
const KEPT_MILLISECONDS = 2000;

/**
 * Memory of picture files, used again by the next: fresh memory costs more, page by page, than what is written to it.
 * Files are decoded one after another, so one file's is kept.
 */
export class FrameMemory {
  readonly #grain: number;
  #kept: ArrayBuffer | null = null;
  #idle: NodeJS.Timeout | null = null;

  /** @param grain - memory is a multiple of this many bytes, so that a frame's memory also fits a slightly larger one */
  constructor(grain = 1) {
    this.#grain = grain;
  }

  /** Memory of at least that many bytes, with any content: returned memory, or new. */
  take(bytes: number): ArrayBuffer {
    const kept = this.#kept;
    if (!kept || kept.byteLength < bytes) {
      return new ArrayBuffer(Math.ceil(bytes / this.#grain) * this.#grain);
    }
    this.#kept = null;
    return kept;
  }

  /** Returns memory that is no longer read. */
  giveBack(buffer: ArrayBuffer): void {
    const kept = this.#kept;
    const larger = buffer.byteLength > (kept?.byteLength ?? 0);
    if (larger) this.#kept = buffer;
    const other = larger ? kept : buffer;
    if (other) letGo(new Uint8Array(other));
    if (this.#idle) this.#idle.refresh();
    else this.#idle = setTimeout(() => this.#letGo(), KEPT_MILLISECONDS).unref();
  }

  #letGo(): void {
    this.#kept = null;
    this.#idle = null;
  }
}
