import { deflateSync, inflateSync, crc32 as nodesCrc32 } from "node:zlib";
import fc from "fast-check";
import { expect, test } from "vitest";
import { bytesOfHex, hexOf } from "./bytes.ts";
import { crc32 } from "./crc32.ts";
import { inflated } from "./inflated.ts";

const MOST = 2 ** 20;
const bytes = fc.uint8Array({ maxLength: 20_000 });

test("inflated(deflated) is the bytes themselves, as Node's zlib has it", () => {
  fc.assert(
    fc.property(bytes, fc.nat(9), (original, level) => {
      const packed = deflateSync(original, { level });
      expect(Buffer.compare(inflated(packed, MOST) ?? Buffer.of(), inflateSync(packed))).toBe(0);
    }),
  );
});

test("what is cut short, damaged or larger than allowed gives null", () => {
  const packed = deflateSync(Buffer.alloc(3 * MOST));
  expect(inflated(packed, 4 * MOST)?.length).toBe(3 * MOST);
  expect(inflated(packed, MOST)).toBeNull();
  expect(inflated(packed.subarray(0, packed.length / 2), 4 * MOST)).toBeNull();
  expect(inflated(new Uint8Array(), MOST)).toBeNull();
  expect(inflated(Uint8Array.of(0x78, 0x9c, 0xff, 0xff, 0xff), MOST)).toBeNull();
});

test("crc32 and hexadecimal digits are Node's", () => {
  fc.assert(
    fc.property(bytes, (original) => {
      expect(crc32(original)).toBe(nodesCrc32(original));
      expect(hexOf(original)).toBe(Buffer.from(original).toString("hex"));
      expect([...bytesOfHex(hexOf(original))]).toEqual([...original]);
    }),
  );
});
