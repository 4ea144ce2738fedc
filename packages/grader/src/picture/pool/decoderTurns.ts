/**
 * Gives access to something: shared, or exclusive.
 *
 * First come, first served: work that needs to be alone waits for the work before it and holds up the work after it,
 * so neither kind can wait for ever.
 */
export class Turns {
  #beside = 0;
  #alone = false;
  readonly #waiting: { readonly alone: boolean; readonly enter: () => void }[] = [];

  /** Runs work beside other work of this kind. */
  beside<T>(work: () => Promise<T>): Promise<T> {
    return this.#run(false, work);
  }

  /** Runs work while no other work runs. */
  alone<T>(work: () => Promise<T>): Promise<T> {
    return this.#run(true, work);
  }

  async #run<T>(alone: boolean, work: () => Promise<T>): Promise<T> {
    await new Promise<void>((enter) => {
      this.#waiting.push({ alone, enter });
      this.#admit();
    });
    try {
      return await work();
    } finally {
      if (alone) this.#alone = false;
      else this.#beside--;
      this.#admit();
    }
  }

  #admit(): void {
    for (let next = this.#waiting[0]; next && this.#hasRoomFor(next); next = this.#waiting[0]) {
      this.#waiting.shift();
      if (next.alone) this.#alone = true;
      else this.#beside++;
      next.enter();
    }
  }

  #hasRoomFor({ alone }: { readonly alone: boolean }): boolean {
    return !this.#alone && !(alone && this.#beside > 0);
  }
}

/**
 * Turns at sharp. All decodes of a process write their error messages to one text and clear it when they end, so what sharp
 * says of a file is true only while no other decode runs.
 */
export const DECODER_TURNS: Turns = new Turns();
