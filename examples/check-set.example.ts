// Checks a sample set, and some of its frames, in Vitest. In a project of your own, name it check-set.test.ts.
//   npx vitest run examples
import { checkSet, gradeFrame, readFrame } from "@tonefall/grader";
import "@tonefall/grader/vitest";
import { expect, test } from "vitest";

const HARBOUR = new URL("../samples/harbour/", import.meta.url);
const frame = (name: string): URL => new URL(name, HARBOUR);

test("every claim of the set holds", async () => {
  const { summary } = await checkSet(frame("set.yaml"));
  expect(summary.failing).toBe(0);
});

test("the corrected hull falls where tar belongs, the uncorrected one does not", async () => {
  const [corrected, asMetered] = await Promise.all(
    ["02-tarred-hull-corrected.jpg", "01-tarred-hull-as-metered.jpg"].map((name) =>
      gradeFrame(frame(name), { region: "spot" }),
    ),
  );
  expect(corrected).toFallWithin("tar");
  expect(asMetered).not.toFallWithin("tar");
});

test("the frames at three apertures record theirs", async () => {
  expect(await readFrame(frame("21-same-exposure-f8.jpg"))).toBeExposedAs({ aperture: 8 });
});
