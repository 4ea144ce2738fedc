import { spawnSync } from "node:child_process";
import { readdir, readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { beforeAll, describe, expect, test } from "vitest";
import { parse } from "yaml";
import { checkSet } from "../packages/grader/src/index.ts";
import { hasBrowser, openBrowser, withoutBrowser } from "./browser.ts";
import { captureOf, grey, patches } from "./exposeCaptures.ts";
import { openedPage } from "./openedPage.ts";
import { newFolder } from "./pictures.ts";
import { COMMAND, runTonefall } from "./runTonefall.ts";

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

describe("a lesson", () => {
  const args = [
    ...["expose", "--lesson", "lesson.yaml", "-o", "wall"],
    ...["--set", "wall/set.yaml", "--report", "wall.html"],
  ];
  let cwd = "";
  let first: Awaited<ReturnType<typeof runTonefall>>;

  beforeAll(async () => {
    cwd = await newFolder();
    await writeFile(join(cwd, "steps.dng"), captureOf(SCENE.light));
    await writeFile(join(cwd, "lesson.yaml"), LESSON);
    first = await runTonefall([...args, "-f", "json"], { cwd });
  }, 60_000);

  test("makes its frames in order, and a set that a check proves", {
    timeout: 60_000,
  }, async () => {
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
    // Somebody may have added claims to the set.
    const kept = await runTonefall([...args, "--force"], { cwd });
    expect(kept.stderr).toContain("is a set file already; name another file, or delete it first");
    await rm(join(cwd, "wall/set.yaml"));
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

  test("has a page with its name, its captions and all frames for the wall", async () => {
    const page = await readFile(join(cwd, "wall.html"), "utf8");
    expect(page).toContain("<h1>Grey steps</h1>");
    expect(page).toContain(`data-wall="1,2,3,4,5,6,7,8,9,10,11,12" data-begins`);
    expect(page).toContain("<p>Dark came out grey</p>");
    // Nobody missed anything: there is no cause, and nothing to do next time.
    expect(page).toMatch(/Not counted: \d+ made frames?, which miss/);
    expect(page).not.toContain("<h4>Do</h4>");
  });

  test.skipIf(!hasBrowser)(
    `has a page that opens on the wall${withoutBrowser}`,
    async () => {
      const { browser, close } = await openBrowser();
      try {
        const { page, complaints } = await openedPage(browser, join(cwd, "wall.html"));
        const wall = page.locator(".wall");
        expect(await wall.textContent()).toContain("Frame 1, 1 of 12");
        // The caption gives the answer away, so it waits for the prediction.
        expect(await wall.textContent()).not.toContain("Dark came out grey");
        await page.keyboard.press("ArrowRight");
        await page.keyboard.press("ArrowRight");
        expect(await page.locator(".wall-caption").textContent()).toBe("Dark came out grey");
        await page.keyboard.press("Escape");
        expect(await wall.count()).toBe(0);
        await page.locator("button[data-begins]").click();
        expect(await wall.textContent()).toContain("Frame 1, 1 of 12");

        // A list of the speaker's own comes first, and a link to a frame leads to the frame.
        const reopened = async (hash: string): Promise<void> => {
          await page.goto("about:blank");
          await page.goto(`${pathToFileURL(join(cwd, "wall.html")).href}${hash}`);
        };
        await reopened("#wall=5,2");
        expect(await wall.textContent()).toContain("Frame 5, 1 of 2");
        await reopened("#frame-3");
        expect(await wall.count()).toBe(0);
        expect(complaints).toEqual([]);
      } finally {
        await close();
      }
    },
    60_000,
  );
});

test("a lesson in the samples keeps every claim that it makes", { timeout: 120_000 }, async () => {
  const cwd = await newFolder();
  const lesson = join(import.meta.dirname, "../samples/lessons/slip.yaml");
  const made = await runTonefall(
    ["expose", "--lesson", lesson, "-o", "wall", "--set", "wall/set.yaml"],
    { cwd },
  );
  expect(made).toMatchObject({ code: 0, stderr: "" });
  const { sets } = await checkSet(join(cwd, "wall/set.yaml"));
  const rows = sets[0]?.rows ?? [];
  expect(rows.length).toBeGreaterThan(40);
  expect(rows.filter(({ outcome }) => outcome !== "kept")).toEqual([]);
});

test("a folder that cannot be made is named, and a write that fails leaves nothing half done", {
  timeout: 60_000,
}, async () => {
  const cwd = await newFolder();
  await writeFile(join(cwd, "steps.dng"), captureOf(SCENE.light));
  const series = ["expose", "steps.dng", "--by", "0", "--bracket", "-1..+1 by 1"];
  // A file stands where the folder would be, which stops even an administrator.
  const nowhere = await runTonefall([...series, "-o", "steps.dng/wall"], { cwd });
  expect(nowhere).toMatchObject({ code: 2, stdout: "" });
  expect(nowhere.stderr).toMatch(
    /--output but steps\.dng.wall cannot be written because steps\.dng is not a folder \(ENOTDIR\)/,
  );
  expect(await readdir(cwd)).toEqual(["steps.dng"]);

  if (process.platform === "win32") return;
  // As on a full disk: the system takes the first blocks of a file and refuses the next.
  const small = 'ulimit -f 4; exec "$@"';
  const full = ["-c", small, "sh", process.execPath, COMMAND, ...series, "-o", "wall"];
  const { status, stdout, stderr } = spawnSync("sh", full, { cwd, encoding: "utf8" });
  expect([status, stdout]).toEqual([2, ""]);
  expect(stderr).toContain("wall cannot be written (EFBIG)");
  expect(await readdir(join(cwd, "wall"))).toEqual([]);
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
