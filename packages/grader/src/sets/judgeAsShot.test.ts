import { describe, expect, test } from "vitest";
import type { Exposure, FrameResult } from "../model/result.ts";
import type { FrameFacts } from "./frameFacts.ts";
import { judgeAsShot } from "./judgeAsShot.ts";
import type { ReadyFrame } from "./readySet.ts";

/** An untouched upright frame of 1200 x 800, as a camera writes it. */
const SHOT: Readonly<Record<string, unknown>> = {
  capturedAt: "2025-06-14T09:40:10",
  software: null,
  customRendered: "normal",
  composite: null,
  pixelWidth: 1200,
  pixelHeight: 800,
};

function judged(changes: Readonly<Record<string, unknown>>, software?: readonly string[]): string {
  const fields = Object.entries({ ...SHOT, ...changes });
  const exposure = Object.fromEntries(fields.map(([name, value]) => [name, { value }]));
  const row = { picture: { width: 800, height: 1200 } } as FrameResult;
  const facts = {
    failure: null,
    read: { exposure: exposure as unknown as Exposure },
    tones: new Map([["own whole", row]]),
  } as unknown as FrameFacts;
  const kit = software ? { software } : null;
  const { outcome, code } = judgeAsShot({ id: "a", kit } as ReadyFrame, facts);
  return `${outcome} ${code}`;
}

describe("judgeAsShot", () => {
  test.each([
    ["nothing but what cameras write, turned or not", {}, undefined, "kept holds"],
    ["no time of capture", { capturedAt: null }, undefined, "undecided not-recorded"],
    [
      "other pixels than it states",
      { pixelWidth: 6000, pixelHeight: 4000 },
      undefined,
      "missed resized",
    ],
    ["several captures merged", { composite: "captured" }, undefined, "missed composite"],
    ["special processing", { customRendered: "other" }, undefined, "missed custom-rendered"],
    ["software, its kit unknown", { software: "1.0" }, undefined, "undecided software-unknown"],
    ["software that is the kit's own", { software: "1.0" }, ["1.0"], "kept holds"],
    ["software that is not the kit's own", { software: "An editor" }, ["1.0"], "missed edit-trace"],
  ] as const)("%s", (_what, changes, software, comes) => {
    expect(judged(changes, software)).toBe(comes);
  });
});
