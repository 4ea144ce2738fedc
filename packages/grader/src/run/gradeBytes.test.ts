import { expect, test } from "vitest";
import { gradeBytes } from "./gradeBytes.ts";

test.each(["frame.jpg", 5, null, new ArrayBuffer(4)])(
  "refuses %o in place of bytes",
  async (source) => {
    await expect(gradeBytes(source as unknown as Blob, {}, { decoders: {} })).rejects.toMatchObject(
      {
        code: "bad-option",
      },
    );
  },
);
