import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import { BindingChanged } from "./bindingChanged.mjs";
import { functionsWithoutText } from "./functionsWithoutText.mjs";
import { mosaicInPlace, newFile, openInPlace, startLibRaw } from "./libRawBinding.mjs";

await startLibRaw(readFileSync(fileURLToPath(import.meta.resolve("libraw-wasm/dist/libraw.wasm"))));

const DNG_PATH = resolve(
  import.meta.dirname,
  "../../../../../samples/harbour/29-slip-and-boathouse.dng",
);
const DNG = readFileSync(DNG_PATH);

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

describe("where no text may become code", () => {
  const opened = (before: string): string =>
    execFileSync(
      process.execPath,
      [
        "--disallow-code-generation-from-strings",
        ...["--input-type=module", "--eval"],
        `import { readFileSync } from "node:fs";
        const { forbidTextAsCode, newFile, startLibRaw } = await import(process.argv[1]);
        ${before}
        await startLibRaw(readFileSync(process.argv[2]));
        const file = newFile();
        file.open(new Uint8Array(readFileSync(process.argv[3])), {});
        const { raw_width, raw_height, data } = file.rawImageData();
        const { camera_model, color_data } = file.metadata(true);
        console.log(JSON.stringify([raw_width, raw_height, data.length, data[99], camera_model, color_data.cam_mul]));
        process.exit(0);`,
        import.meta.resolve("./libRawBinding.mjs"),
        fileURLToPath(import.meta.resolve("libraw-wasm/dist/libraw.wasm")),
        DNG_PATH,
      ],
      { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] },
    );

  test("the binding reads a file as it does elsewhere", () => {
    const file = newFile();
    file.open(new Uint8Array(DNG), {});
    const { raw_width, raw_height, data } = file.rawImageData() as ReturnType<
      typeof file.rawImageData
    > & { data: Uint16Array };
    const { camera_model, color_data } = file.metadata(true);
    expect(JSON.parse(opened("forbidTextAsCode();"))).toEqual([
      ...[raw_width, raw_height, data.length, data[99], camera_model, color_data.cam_mul],
    ]);
    file.delete();
    expect(() => opened("")).toThrow();
  });

  const Made = functionsWithoutText() as unknown as new (
    names: readonly string[],
    text: string,
  ) => (...given: unknown[]) => (...args: unknown[]) => unknown;

  /** What a binding writes, for names that are called by it. */
  const WRITTEN: readonly (readonly [readonly string[], string])[] = [
    [
      ["invoker", "fn", "runDestructors", "fromRetWire", "toClassParamWire", "toArg0Wire"],
      "return function (arg0) {\nvar destructors = [];\nvar thisWired = toClassParamWire(destructors, this);\nvar arg0Wired = toArg0Wire(destructors, arg0);\nvar rv = invoker(fn,thisWired,arg0Wired);\nrunDestructors(destructors);\nvar ret = fromRetWire(rv);\nreturn ret;\n}\n",
    ],
    [
      ["invoker", "fn", "toArg0Wire", "toArg1Wire", "arg1Wired_dtor"],
      "return function (arg0,arg1) {\nvar arg0Wired = toArg0Wire(null, arg0);\nvar arg1Wired = toArg1Wire(null, arg1);\ninvoker(fn,arg0Wired,arg1Wired);\narg1Wired_dtor(arg1Wired);\n}\n",
    ],
    ...[
      "toValue(handle)(argFromPtr0(args),argFromPtr1(args+8))",
      "new (toValue(handle))(argFromPtr0(args),argFromPtr1(args+8))",
      "toValue(handle)[getStringOrSymbol(methodName)](argFromPtr0(args),argFromPtr1(args+8))",
      "(argFromPtr0(args),argFromPtr1(args+8))",
    ].flatMap((call): [readonly string[], string][] => {
      const names = ["toValue", "argFromPtr0", "argFromPtr1", "getStringOrSymbol"];
      const head = "return function (handle, methodName, destructorsRef, args) {";
      return [
        [names, `${head}\n${call}\n}`],
        [
          [...names, "toReturnWire", "emval_returnValue"],
          `${head}\nreturn emval_returnValue(toReturnWire, destructorsRef, ${call})\n}`,
        ],
      ];
    }),
  ];

  /** What a function does: its answer, and every call of what it was given, in order. */
  function done(Maker: typeof Made, names: readonly string[], text: string): unknown {
    const calls: unknown[] = [];
    const record = (name: string) =>
      function (this: unknown, ...given: unknown[]): unknown {
        calls.push([name, given]);
        if (name === "getStringOrSymbol") return "method";
        if (name !== "toValue") return `${name} ${calls.length}`;
        const value = record("value");
        return Object.assign(value, { method: record("method") });
      };
    const answer = new Maker(names, text)(...names.map(record)).call("this", 16, 24, 32, 40);
    return { answer: JSON.stringify(answer), calls: JSON.stringify(calls) };
  }

  test.each(WRITTEN)("makes of %j what the text says", (names, text) => {
    expect(done(Made, names, text)).toEqual(done(Function as unknown as typeof Made, names, text));
  });

  test.each([
    [["invoker"], "return function () {\nfetch(1);\n}"],
    [["invoker"], "return function () {\nvar arg0Wired = toArg1Wire(null, arg0);\n}"],
    [["toValue"], "return function (handle, methodName, destructorsRef, args) {\nfetch(1)\n}"],
    [["toValue"], "return fetch(1)"],
  ])("refuses %j %j", (names, text) => {
    expect(() => new Made(names, text)).toThrow(BindingChanged);
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
