import { readdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { expect, test } from "vitest";
import { parse } from "yaml";
import { checkSet } from "../packages/grader/src/index.ts";
import { captureOf, grey, patches } from "./exposeCaptures.ts";
import { newFolder } from "./pictures.ts";
import { runTonefall } from "./runTonefall.ts";

const SCENE = patches([-2, 0, 1].map(grey));

const LESSON = `lesson: Grey steps
sources: { steps: { file: steps.dng } }
frames:
  - { name: dark, as-metered: spot, spot: "0.17,0.5", spot-size: 0.01, region: "${SCENE.region(0)}", belongs: -2, caption: Dark came out grey }
  - { name: placed, place: -2, region: "${SCENE.region(0)}" }
  - { by: 0, bracket: "-1..+1 by 1", region: "${SCENE.region(1)}" }
  - { patterns: true, region: "${SCENE.region(1)}" }
  - { by: 0, equivalent: "f4,f8", region: "${SCENE.region(1)}" }
`;

test("a lesson makes its frames in order, and a set that a check proves", {
  timeout: 60_000,
}, async () => {
  const cwd = await newFolder();
  await writeFile(join(cwd, "steps.dng"), captureOf(SCENE.light));
  await writeFile(join(cwd, "lesson.yaml"), LESSON);
  const args = ["expose", "--lesson", "lesson.yaml", "-o", "wall", "--set", "wall/set.yaml"];
  const first = await runTonefall([...args, "-f", "json"], { cwd });
  expect(first).toMatchObject({ code: 0, stderr: "" });
  const { frames } = JSON.parse(first.stdout);
  expect(frames.map(({ path }: { path: string }) => path.replaceAll("\\", "/"))).toEqual([
    "wall/01-dark.jpg",
    "wall/02-placed.jpg",
    "wall/03-bracket-minus-1.jpg",
    "wall/04-bracket-middle.jpg",
    "wall/05-bracket-plus-1.jpg",
    "wall/06-as-metered-spot.jpg",
    "wall/07-as-metered-partial.jpg",
    "wall/08-as-metered-centre-weighted.jpg",
    "wall/09-as-metered-average.jpg",
    "wall/10-as-metered-multi-segment.jpg",
    "wall/11-same-f4.jpg",
    "wall/12-same-f8.jpg",
  ]);
  expect(await readFile(join(cwd, "wall/01-dark.jpg"), "latin1")).toContain("Dark came out grey");

  const checked = await checkSet(join(cwd, "wall/set.yaml"));
  expect(checked.sets[0]?.rows.filter(({ outcome }) => outcome !== "kept")).toEqual([]);
  const set = parse(await readFile(join(cwd, "wall/set.yaml"), "utf8"));
  expect(set.frames["01-dark"].claims).toContainEqual({
    error: { region: "subject", place: "-2", lies: "1.90..2.10" },
  });
  expect(set.relations.map((relation: object) => Object.keys(relation)[0])).toEqual([
    "bracket",
    "equivalent",
  ]);
  expect(Object.keys(set.pins)).toHaveLength(12);

  // The same again would write over frames that may hang on somebody's wall.
  const again = await runTonefall(args, { cwd });
  expect(again).toMatchObject({ code: 2, stdout: "" });
  expect(again.stderr).toContain("[would-overwrite]");
  expect((await readdir(join(cwd, "wall"))).sort()).toHaveLength(13);
  const forced = await runTonefall([...args, "--force"], { cwd });
  expect(forced).toMatchObject({ code: 0, stderr: "" });
  expect(forced.stdout).toContain("Blur, depth of field and noise are the capture's");
  for (const line of forced.stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(80);
  // Each frame is the same to the byte, however often it is made.
  const remade = await checkSet(join(cwd, "wall/set.yaml"));
  expect(remade.sets[0]?.rows.filter(({ outcome }) => outcome !== "kept")).toEqual([]);

  const read = await runTonefall(["read", "wall/01-dark.jpg"], { cwd });
  expect(read.stdout).toContain("(made)");
});

test("what cannot be made is refused in a sentence, before anything is written", {
  timeout: 60_000,
}, async () => {
  const cwd = await newFolder();
  const raw = captureOf(SCENE.light);
  await writeFile(join(cwd, "steps.dng"), raw);
  await writeFile(join(cwd, "cut.dng"), raw.subarray(0, raw.length / 2));
  const jpeg = join(import.meta.dirname, "../samples/harbour/09-bracket-middle.jpg");
  await writeFile(join(cwd, "bad.yaml"), LESSON.replace("by: 0", "by: zero"));
  const refused: readonly (readonly [string[], string])[] = [
    [[jpeg, "--by", "1"], "not-linear"],
    [["cut.dng", "--by", "1"], "raw-truncated"],
    [["steps.dng"], "bad-option"],
    [["steps.dng", "--by", "1", "--place", "2"], "bad-option"],
    [["steps.dng", "--by", "1", "--compensation", "2"], "bad-option"],
    [["--lesson", "bad.yaml"], "bad-lesson"],
  ];
  const runs = await Promise.all(
    refused.map(([args]) => runTonefall(["expose", ...args, "-o", "out.jpg"], { cwd })),
  );
  for (const [i, { code, stderr, stdout }] of runs.entries()) {
    const [args, reason] = refused[i] as (typeof refused)[number];
    expect([code, stdout], args.join(" ")).toEqual([2, ""]);
    expect(stderr, args.join(" ")).toContain(`[${reason}]`);
  }
  expect((await readdir(cwd)).sort()).toEqual(["bad.yaml", "cut.dng", "steps.dng"]);
});
