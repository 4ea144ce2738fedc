import { KERNEL_BYTES } from "./kernelBytes.ts";

/** What the counting kernel (`kernel/countPixels.ts`) exports. */
export interface CountingKernel {
  readonly memory: { readonly buffer: ArrayBuffer };
  readonly BANK_BYTES: Global<number>;
  readonly BINS: Global<number>;
  readonly TABLES: Global<number>;
  readonly INPUT: Global<number>;
  readonly OUTPUT: Global<number>;
  readonly INPUT_PIXELS: Global<number>;
  readonly sum: Global<bigint>;
  readonly toned: Global<number>;
  readonly clipped: Global<number>;
  readonly clippedRed: Global<number>;
  readonly clippedGreen: Global<number>;
  readonly clippedBlue: Global<number>;
  readonly crushed: Global<number>;
  readonly clipped0: Global<number>;
  readonly clipped1: Global<number>;
  readonly clipped2: Global<number>;
  readonly clipped3: Global<number>;
  readonly CELL_ENDS: Global<number>;
  readonly CELL_TABLES: Global<number>;
  readonly CODE_COUNTS: Global<number>;
  clear(): void;
  pairTables(): void;
  clearCodes(): void;
  countCells(cells: number): void;
  countCellTones(cells: number, first: number, step: number, ...tables: CellTables): void;
  countCodes(cells: number): void;
  pairRows(pairs: number, pitch: number, left: number, cells: number): void;
  countPixels(pixels: number, first: number, step: number): void;
}

/** Addresses of the tables of a cell's four channels. */
export type CellTables = [number, number, number, number];

interface Global<T> {
  readonly value: T;
}

/** What is needed of the platform; neither is part of the language, so either may be missing. */
interface Platform {
  readonly atob?: (base64: string) => string;
  readonly WebAssembly?: {
    readonly Module: new (bytes: Uint8Array) => object;
    readonly Instance: new (module: object) => { readonly exports: unknown };
  };
}

let kernel: CountingKernel | null | undefined;

/**
 * The counting kernel, made at its first use and shared: a count runs from its `clear` to its last read without a break.
 *
 * @returns null where there is no WebAssembly with vectors, or a page's content security policy forbids it
 */
export function countingKernel(): CountingKernel | null {
  if (kernel === undefined) kernel = instantiate();
  return kernel;
}

function instantiate(): CountingKernel | null {
  const { atob, WebAssembly } = globalThis as Platform;
  if (!atob || !WebAssembly) return null;
  try {
    const bytes = Uint8Array.from(atob(KERNEL_BYTES), (letter) => letter.charCodeAt(0));
    const { exports } = new WebAssembly.Instance(new WebAssembly.Module(bytes));
    return exports as CountingKernel;
  } catch {
    return null;
  }
}
