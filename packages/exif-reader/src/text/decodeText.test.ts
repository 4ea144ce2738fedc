import { expect, test } from "vitest";
import { decodeText } from "./decodeText.ts";

test("bytes that are not UTF-8 are Windows-1252, on every engine", () => {
  // Single marks of the published table [ENCODING]; 0x81 has none and stands for itself.
  const marks = { 128: "€", 129: "\u0081", 130: "‚", 138: "Š", 147: "“", 153: "™", 159: "Ÿ" };
  for (const [byte, mark] of Object.entries({ ...marks, 160: "\u00a0", 233: "é", 255: "ÿ" })) {
    expect(decodeText(Uint8Array.of(Number(byte), 0x41)), byte).toBe(`${mark}A`);
  }
});
