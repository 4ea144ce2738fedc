import { letGo } from "./letGo.ts";

/** How long memory is kept that no frame asks for. */
const KEPT_MILLISECONDS = 2000;

/**
 * Memory of raw frames, or of picture files, used again by the next: fresh memory costs more, page by page, than what is
 * written to it. Frames are measured one after another, so one frame's is kept.
 */
export class FrameMemory {
  readonly #grain: number;
  #kept: ArrayBuffer | null = null;
  #idle: NodeJS.Timeout | null = null;

  /** @param grain - bytes that memory is a multiple of: what one frame had then serves a next that is a little larger */
  constructor(grain = 1) {
    this.#grain = grain;
  }

  /** Memory of so many bytes or more, of whatever content: what was given back, or new. */
  take(bytes: number): ArrayBuffer {
    const kept = this.#kept;
    if (!kept || kept.byteLength < bytes) {
      return new ArrayBuffer(Math.ceil(bytes / this.#grain) * this.#grain);
    }
    this.#kept = null;
    return kept;
  }

  /** Gives back memory that nobody reads any more. */
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
