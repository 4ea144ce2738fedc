import { expect, test } from "vitest";
import type { WrittenFrame } from "../../expose/makeFrames.ts";
import { exposeTable } from "./exposeTable.ts";

test("frames of a series can be told apart, however long the folder that they lie in", () => {
  const names = ["01-bracket-minus-2.jpg", "05-bracket-plus-2.jpg"];
  const frames = names.map((name) => ({
    path: `/home/photographs/evening-class-of-the-harbour/week-2/made/${name}`,
    exposure: { stops: 0, settings: null },
    tones: {},
    clippedShare: 0,
    notes: [],
  })) as unknown as WrittenFrame[];
  const text = exposeTable(frames, { width: 80, heading: (heading) => heading });
  for (const name of names) expect(text).toMatch(new RegExp(`^${name.replace(".", "\\.")} `, "m"));
  expect(text).toMatch(/^Frames in .*week-2\/made\/$/m);
});
