import { deflateSync } from "node:zlib";
import { describe, expect, test } from "vitest";
import { numbers, pngFixture } from "../../test/containerFixtures.ts";
import { embeddedProfile } from "./embeddedProfile.ts";

const PROFILE = Buffer.from(Array.from({ length: 300 }, (_, i) => i % 251));

function app2(number: number, count: number, part: Uint8Array): Buffer {
  const mark = Buffer.from("ICC_PROFILE\0");
  return Buffer.concat([
    Buffer.of(0xff, 0xe2, ...numbers([2 + mark.length + 2 + part.length, 2])),
    mark,
    Buffer.of(number, count),
    part,
  ]);
}

const jpeg = (...segments: readonly Uint8Array[]): Buffer =>
  Buffer.concat([Buffer.of(0xff, 0xd8), ...segments, Buffer.of(0xff, 0xda, 0, 2)]);

const whole = (file: Uint8Array): string | null => {
  const profile = embeddedProfile(file);
  return profile && Buffer.from(profile).toString("hex");
};

describe("embeddedProfile", () => {
  const parts = [app2(1, 2, PROFILE.subarray(0, 100)), app2(2, 2, PROFILE.subarray(100))] as const;

  test("of a JPEG is its parts in their order, wherever they stand", () => {
    expect(whole(jpeg(...parts))).toBe(PROFILE.toString("hex"));
    expect(whole(jpeg(parts[1], parts[0]))).toBe(PROFILE.toString("hex"));
  });

  test("of a JPEG is none where a part is missing, doubled or beyond their number", () => {
    expect(whole(jpeg(parts[0]))).toBeNull();
    expect(whole(jpeg(...parts, parts[1]))).toBeNull();
    expect(whole(jpeg(app2(3, 2, PROFILE)))).toBeNull();
    expect(whole(jpeg(app2(0, 0, PROFILE)))).toBeNull();
  });

  test("of a PNG is unpacked, and none where the chunk is damaged", () => {
    const chunk = Buffer.concat([Buffer.from("name\0\0"), deflateSync(PROFILE)]);
    const png = pngFixture(["iCCP", chunk], ["IDAT", Buffer.alloc(3)]);
    expect(whole(png)).toBe(PROFILE.toString("hex"));
    const damaged = Uint8Array.from(png);
    const at = Buffer.from(png).indexOf("iCCP") + 20;
    damaged[at] = (damaged[at] ?? 0) ^ 1;
    expect(whole(damaged)).toBeNull();
  });

  test("of a WebP is its chunk, and none where the file ends within it", () => {
    const chunk = (type: string, data: Uint8Array): Buffer => {
      const length = Buffer.alloc(4);
      length.writeUInt32LE(data.length);
      return Buffer.concat([Buffer.from(type), length, data, Buffer.alloc(data.length % 2)]);
    };
    const body = Buffer.concat([chunk("VP8X", Buffer.alloc(9)), chunk("ICCP", PROFILE)]);
    const webp = Buffer.concat([Buffer.from("RIFF\0\0\0\0WEBP"), body]);
    expect(whole(webp)).toBe(PROFILE.toString("hex"));
    expect(whole(webp.subarray(0, -1))).toBeNull();
  });

  test("of anything else is none", () => {
    expect(whole(new Uint8Array())).toBeNull();
    expect(whole(Buffer.from("words"))).toBeNull();
  });
});
