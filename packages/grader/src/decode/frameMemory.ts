/** How long memory is kept that no frame asks for. */
const KEPT_MILLISECONDS = 2000;

/**
 * Memory of raw frames, used again by the next: fresh memory costs more, page by page, than what is written to it. Frames
 * are measured one after another, so one frame's is kept.
 */
export class FrameMemory {
  #kept: ArrayBuffer | null = null;
  #idle: NodeJS.Timeout | null = null;

  /** Memory of so many bytes or more, of whatever content: what was given back, or new. */
  take(bytes: number): ArrayBuffer {
    const kept = this.#kept;
    if (!kept || kept.byteLength < bytes) return new ArrayBuffer(bytes);
    this.#kept = null;
    return kept;
  }

  /** Gives back memory that nobody reads any more. */
  giveBack(buffer: ArrayBuffer): void {
    if (buffer.byteLength > (this.#kept?.byteLength ?? 0)) this.#kept = buffer;
    if (this.#idle) this.#idle.refresh();
    else this.#idle = setTimeout(() => this.#letGo(), KEPT_MILLISECONDS).unref();
  }

  #letGo(): void {
    this.#kept = null;
    this.#idle = null;
  }
}
