import { expect, test } from "vitest";
import { gradeFrames, readFrames } from "../run/gradeFrames.ts";
import { checkSets } from "../sets/checkSet.ts";

test.each([0, -1, 1.5, Number.NaN])(
  "%d jobs are refused by everything that takes jobs",
  async (jobs) => {
    const refusal = { code: "bad-option", message: expect.stringContaining("for jobs") };
    await expect(gradeFrames(["none.jpg"], {}, { jobs }).next()).rejects.toMatchObject(refusal);
    await expect(readFrames(["none.jpg"], { jobs }).next()).rejects.toMatchObject(refusal);
    await expect(checkSets(["none.yaml"], { jobs })).rejects.toMatchObject(refusal);
  },
);
