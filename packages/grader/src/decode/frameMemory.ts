/** Frames that may leave memory behind: as many as are unpacked side by side. */
const MOST_KEPT = 2;

/** How long memory is kept that no frame asks for. */
const KEPT_MILLISECONDS = 2000;

/**
 * Memory of raw frames, used again by the next: fresh memory costs more, page by page, than what is written to it. It is
 * shared by threads, since memory that is handed from thread to thread looks new to each, and calls for its garbage
 * collector.
 */
export class FrameMemory {
  #kept: SharedArrayBuffer[] = [];
  #idle: NodeJS.Timeout | null = null;

  /** Memory of so many bytes or more, of whatever content: the largest that was given back, or new. */
  take(bytes: number): SharedArrayBuffer {
    const [largest] = this.#kept;
    if (!largest || largest.byteLength < bytes) return new SharedArrayBuffer(bytes);
    this.#kept.shift();
    return largest;
  }

  /** Gives back memory that nobody reads any more; what was not taken here is let go. */
  giveBack(buffer: ArrayBufferLike): void {
    if (!(buffer instanceof SharedArrayBuffer)) return;
    this.#kept = [...this.#kept, buffer]
      .sort((a, b) => b.byteLength - a.byteLength)
      .slice(0, MOST_KEPT);
    if (this.#idle) this.#idle.refresh();
    else this.#idle = setTimeout(() => this.#letGo(), KEPT_MILLISECONDS).unref();
  }

  #letGo(): void {
    this.#kept = [];
    this.#idle = null;
  }
}
