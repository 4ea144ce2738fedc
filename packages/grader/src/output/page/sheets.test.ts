import { expect, test } from "vitest";
import { PLANTED, randomWorld } from "../../../bench/simulation/plantedCauses.ts";
import { seededRandom } from "../../../bench/simulation/random.ts";
import { blankRecord, takeAndGrade } from "../../../bench/simulation/simulatedCamera.ts";
import type { FrameResult } from "../../model/result.ts";
import type { PageFrame } from "./pageFrame.ts";
import { sheets } from "./sheets.ts";

const TAKEN = "2024-05-31T18:04:00";

/** A frame that missed and one that held, as a photographer takes them who corrects the first. */
async function correction(second: { folder: string; at: string }): Promise<PageFrame[]> {
  const blank = await blankRecord();
  const world = PLANTED["followed-meter-on-dark"];
  const random = seededRandom(3);
  let missed: FrameResult | null = null;
  while (missed?.verdict !== "over") {
    const [shot] = world(randomWorld(random)) ?? [];
    missed = shot ? takeAndGrade(shot, blank) : null;
  }
  const file = (row: FrameResult, name: string, at: string): FrameResult => ({
    ...row,
    file: name,
    exposure: row.exposure && { ...row.exposure, capturedAt: { value: at, from: "test" } },
  });
  const held: FrameResult = {
    ...missed,
    verdict: "within",
    givenExposure: (missed.givenExposure as number) - 1,
  };
  return [file(missed, "anna/1.jpg", TAKEN), file(held, `${second.folder}/2.jpg`, second.at)].map(
    (row, i) => ({
      number: i + 1,
      id: `frame-${i + 1}`,
      name: row.file,
      folder: "",
      row,
      thumbnail: null,
    }),
  );
}

test.each([
  {
    what: "one folder, a minute apart",
    folder: "anna",
    at: "2024-05-31T18:05:00",
    kinds: ["correction"],
  },
  { what: "two folders", folder: "ben", at: "2024-05-31T18:05:00", kinds: [] },
  { what: "a quarter of an hour apart", folder: "anna", at: "2024-05-31T18:19:00", kinds: [] },
])("frames of $what: $kinds", async ({ folder, at, kinds }) => {
  const found = sheets(await correction({ folder, at }));
  expect(found.map(({ kind }) => kind)).toEqual(kinds);
});
