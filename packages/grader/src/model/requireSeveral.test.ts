import { expect, test } from "vitest";
import {
  findFrames,
  gradeFrames,
  measureBracket,
  measureCard,
  measurePairs,
  meterFrames,
  readFrames,
} from "../index.ts";

/** What takes several pictures, called by a program without types. */
const CALLS: readonly (readonly [string, (given: never) => Promise<unknown>])[] = [
  ["findFrames", (given) => findFrames(given)],
  ["gradeFrames", (given) => gradeFrames(given).next()],
  ["meterFrames", (given) => meterFrames(given).next()],
  ["readFrames", (given) => readFrames(given).next()],
  ["measureBracket", (given) => measureBracket(given)],
  ["measureCard", (given) => measureCard(given)],
  ["measurePairs", (given) => measurePairs(given)],
];

test.each(CALLS)(
  "one picture, or nothing, is refused where several are expected: %s",
  async (name, call) => {
    for (const given of ["/shoot", new Uint8Array(3), undefined, null, 7, {}]) {
      await expect(call(given as never)).rejects.toMatchObject({
        code: "bad-option",
        message: expect.stringContaining(name),
      });
    }
  },
);
