import { expect, test } from "vitest";
import { noteTable } from "../output/text/frameTable.ts";
import { type Note, sharedMessage, shareNote } from "./note.ts";

const style = { width: 300, heading: (text: string): string => text };

function tableOf(...notes: readonly Note[]): string {
  return noteTable(
    notes.map((note) => ({ notes: [note] })),
    style,
  );
}

test("several frames give the range of their shares, one frame gives its own", () => {
  const [light, dark] = [shareNote("clipped", 0.074), shareNote("clipped", 0.5)];
  expect(tableOf(light)).toContain("7.4 % of the region is clipped, so its tone");
  expect(tableOf(light, dark, light)).toContain("7.4 to 50 % of the region is clipped");
  expect(tableOf(light, dark, light)).toContain("(3 frames)");
  expect(tableOf(dark, dark)).toContain("50 % of the region is clipped");
  expect(tableOf(dark, dark)).not.toContain(" to 50");
});

test("several frames mention the bound that black leaves only if it holds in all of them", () => {
  const bound = "so its tone is at most this light";
  expect(shareNote("crushed", 0.6).message).toContain(bound);
  expect(shareNote("crushed", 0.4).message).not.toContain(bound);
  expect(sharedMessage([shareNote("crushed", 0.6), shareNote("crushed", 0.9)])).toContain(bound);
  expect(sharedMessage([shareNote("crushed", 0.6), shareNote("crushed", 0.4)])).not.toContain(
    bound,
  );
});

test("a sentence that differs from frame to frame says whose it is", () => {
  const note = (message: string): Note => ({ code: "placement-above-white", message });
  expect(sharedMessage([note("2.47 stops."), note("2.90 stops.")])).toBe(
    "2.47 stops. (the first frame's)",
  );
  expect(sharedMessage([note("Same."), note("Same.")])).toBe("Same.");
});
