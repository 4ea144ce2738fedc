import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import {
  BindingChanged,
  mosaicInPlace,
  newFile,
  openInPlace,
  startLibRaw,
} from "./libRawBinding.mjs";

await startLibRaw(readFileSync(fileURLToPath(import.meta.resolve("libraw-wasm/dist/libraw.wasm"))));

const DNG = readFileSync(
  resolve(import.meta.dirname, "../../../../../samples/harbour/29-slip-and-boathouse.dng"),
);

describe("the binding of LibRaw, as it is installed", () => {
  test("reads a file that is written straight to its memory, and shows the mosaic where it lies", () => {
    const copied = newFile();
    copied.open(new Uint8Array(DNG), {});
    const inPlace = newFile();
    let place: Uint8Array | null = null;
    openInPlace(inPlace, DNG.length, {}, (bytes) => {
      place = bytes;
      bytes.set(DNG);
    });
    expect((place as Uint8Array | null)?.length).toBe(DNG.length);
    expect((place as Uint8Array | null)?.buffer).toBeInstanceOf(SharedArrayBuffer);
    expect(inPlace.metadata(true)).toEqual(copied.metadata(true));

    const { data, ...size } = copied.rawImageData();
    const { samples, ...inPlaceSize } = mosaicInPlace(inPlace);
    expect(inPlaceSize).toEqual(size);
    expect(samples.buffer).toBeInstanceOf(SharedArrayBuffer);
    expect(Buffer.from(Uint16Array.from(samples).buffer).equals(bytesOf(data))).toBe(true);
    copied.delete();
    inPlace.delete();
  });

  test("is altered for one call only, also where that fails", () => {
    const usual = globalThis.Uint16Array;
    const raw = newFile();
    expect(() =>
      openInPlace(raw, 8, {}, () => {
        throw new RangeError("of the file");
      }),
    ).toThrow("of the file");
    expect(() => mosaicInPlace(raw)).toThrow();
    expect(Object.hasOwn(Uint8Array.prototype, "set")).toBe(false);
    expect(globalThis.Uint16Array).toBe(usual);
    raw.delete();
  });
});

describe("a binding that works in another way is refused", () => {
  const samples = Uint16Array.of(7);
  const other = {
    ...{ metadata: () => null as never, imageData: () => null as never, delete: () => {} },
    open: () => {},
    rawImageData: () => ({
      ...{ width: 1, height: 1, raw_width: 1, raw_height: 1 },
      data: samples,
    }),
  };

  test("one that copies files without `set`", () => {
    expect(() => openInPlace(other, 8, {}, () => {})).toThrow(BindingChanged);
  });

  test("one that copies mosaics without a new `Uint16Array`", () => {
    expect(() => mosaicInPlace(other)).toThrow(BindingChanged);
  });
});

function bytesOf(samples: unknown): Buffer {
  const { buffer, byteOffset, byteLength } = samples as Uint16Array<ArrayBuffer>;
  return Buffer.from(buffer, byteOffset, byteLength);
}
