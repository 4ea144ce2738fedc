import { mkdir, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import { findFrames, gradeFrame } from "@tonefall/grader";
import { describe, expect, test } from "vitest";
import { keptHeic, WEDGE } from "./encodedPictures.ts";
import { flat, newFolder } from "./pictures.ts";

const RAW = resolve(import.meta.dirname, "../samples/harbour/29-slip-and-boathouse.dng");

const jpeg = (): Promise<Buffer> => flat(118, 200, 100).jpeg().toBuffer();

describe("a frame past its limits is a row that says so", () => {
  test("too many pixels, by a hair", async () => {
    const bytes = await jpeg();
    const code = async (maxMegapixels: number): Promise<unknown> =>
      (await gradeFrame(bytes, {}, { maxMegapixels })).failure?.code;
    expect(await code(0.02)).toBeUndefined();
    expect(await code(0.019_999)).toBe("too-large");
  });

  test("the message names the limit and what to do", async () => {
    const { failure } = await gradeFrame(await jpeg(), {}, { maxMegapixels: 0.01 });
    expect(failure?.message).toMatch(/more than 0.01 million pixels.*raise/);
  });

  test("raw samples count as pixels", async () => {
    const { failure } = await gradeFrame(RAW, {}, { maxMegapixels: 0.1 });
    expect(failure?.code).toBe("too-large");
  });

  test.each(["picture", "raw"])("a %s that takes too long", async (kind) => {
    const source = kind === "raw" ? RAW : await jpeg();
    const hurried = await gradeFrame(source, {}, { timeLimitSeconds: 1e-4 });
    expect(hurried.failure?.code).toBe("took-too-long");
    expect((await gradeFrame(source)).failure).toBeNull();
  });

  test("HEIC", async () => {
    const code = async (limits: object): Promise<unknown> =>
      (await gradeFrame(keptHeic("420"), {}, limits)).failure?.code;
    const megapixels = (WEDGE.width * WEDGE.height) / 1e6;
    expect(await code({ maxMegapixels: megapixels })).toBeUndefined();
    expect(await code({ maxMegapixels: megapixels - 1e-6 })).toBe("too-large");
    expect(await code({ timeLimitSeconds: 1e-4 })).toBe("took-too-long");
  });

  test("a limit without end is none", async () => {
    const limits = { timeLimitSeconds: Number.POSITIVE_INFINITY, maxMegapixels: 1e9 };
    expect((await gradeFrame(await jpeg(), {}, limits)).failure).toBeNull();
  });
});

describe("names that are not UTF-8", () => {
  /** Some systems refuse such names: then there is nothing to test. */
  async function folderOf(...names: readonly number[]): Promise<string | null> {
    const folder = await newFolder();
    await mkdir(join(folder, "set"));
    try {
      for (const byte of names) {
        const path = Buffer.concat([
          Buffer.from(join(folder, "set/")),
          Buffer.from([byte]),
          Buffer.from(".jpg"),
        ]);
        await writeFile(path, await jpeg());
      }
      return join(folder, "set");
    } catch {
      return null;
    }
  }

  test("two that are spelt alike are two frames, each with its reason", async ({ skip }) => {
    const folder = await folderOf(0xfe, 0xff);
    if (folder === null) return skip("the file system has no such names");
    const { frames } = await findFrames([folder]);
    expect(frames).toHaveLength(2);
    const { failure } = await gradeFrame(frames[0]?.path ?? "");
    expect(failure).toMatchObject({ code: "cannot-read", message: expect.stringMatching(/UTF-8/) });
  });
});

test("a folder found twice gives its frames once", async () => {
  const folder = await newFolder();
  await writeFile(join(folder, "a.jpg"), await jpeg());
  const { frames, emptyFolders } = await findFrames([folder, folder, join(folder, "a.jpg")]);
  expect(frames).toHaveLength(1);
  expect(emptyFolders).toEqual([]);
});
