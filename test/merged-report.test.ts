import { cp, mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { basename, join, resolve } from "node:path";
import { type CameraKit, kitText, measureBracket } from "@tonefall/grader";
import { afterAll, beforeAll, expect, test } from "vitest";
import { RENDERINGS, type Rendering, writeBracket } from "./kitScene.ts";
import { newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";
import type { Run } from "./runTonefall.ts";
import { unpackedPage } from "./unpackedPage.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");
const PARTS = [1, 2, 3];
const BRIEF = `"**": { place: 0.5..1.5, region: spot }
"13-*": { place: -1, region: "box:0.1,0.1,0.3,0.3", basis: scene }
`;

let folder = "";
const tonefall = (...args: string[]): Promise<Run> => runHere(args, { cwd: folder });
const read = (name: string): Promise<string> => readFile(join(folder, name), "utf8");

beforeAll(async () => {
  folder = await newFolder();
  const shoot = join(folder, "one/shoot");
  await mkdir(join(shoot, "kits"), { recursive: true });
  // A pair of raw and rendered file, a frame whose light is guessed, and frames of a measured kit.
  for (const name of ["13-recompose-boathouse.jpg", "29-slip-and-boathouse.jpg"]) {
    await cp(join(HARBOUR, name), join(shoot, name));
  }
  await cp(join(HARBOUR, "29-slip-and-boathouse.dng"), join(shoot, "29-slip-and-boathouse.dng"));
  const rendering = RENDERINGS["a steep S-curve"] as Rendering;
  const paths = await writeBracket(join(shoot, "kits"), 5, () => ({ rendering }));
  const { kit } = await measureBracket(paths);
  await writeFile(join(shoot, "kits/mine.yaml"), kitText(kit as CameraKit));
  for (const path of paths) {
    if (paths.indexOf(path) < 2) await cp(path, join(shoot, basename(path)));
    await rm(path);
  }
  await writeFile(join(shoot, "torn.jpg"), "no picture");
  await writeFile(join(folder, "week.yaml"), BRIEF);
  // Another machine, which reaches the same files by another path.
  await cp(join(folder, "one"), join(folder, "two"), { recursive: true });
  for (const index of PARTS) {
    const at = index === 2 ? join(folder, "two/shoot") : "one/shoot";
    const part = ["--shard", `${index}/3`, "--for-report", "-f", "ndjson", "-o", `${index}.ndjson`];
    await tonefall("grade", at, "--brief", "week.yaml", "--voice", "student", ...part);
  }
}, 120_000);
afterAll(() => rm(folder, { recursive: true }));

test.each([
  { name: "with file names", page: ["--title", "Week 1"] },
  { name: "anonymous", page: ["--anonymous"] },
])("the report of all parts is that of one run, $name", async ({ name, page }) => {
  const [one, all] = [`one ${name}`, `all ${name}`];
  const graded = ["grade", "one/shoot", "--brief", "week.yaml", "--voice", "student", ...page];
  const whole = await tonefall(...graded, "--report", `${one}.html`, "-f", "json");
  const merged = await tonefall(
    ...["merge", ...PARTS.map((index) => `${index}.ndjson`), ...page],
    ...["--report", `${all}.html`, "-f", "json"],
  );
  expect([merged.code, merged.stdout, merged.stderr]).toEqual([3, whole.stdout, ""]);
  // All that the parts have to bring along is there.
  const bases = JSON.parse(whole.stdout).frames.map(({ basis }: { basis: string }) => basis);
  expect(new Set(bases)).toEqual(new Set(["rendered", "scene", null]));
  const text = unpackedPage(await read(`${one}.html`));
  expect(text.match(/<img [^>]*data:image\/jpeg/g)?.length).toBeGreaterThan(4);
  const pieces = [
    ...['id="kits"', "Read a spot", "Encoded values", "The sensor&#39;s own values"],
    "The scene&#39;s light, encoded again",
  ];
  expect(pieces.filter((piece) => !text.includes(piece))).toEqual([]);
  expect(text.includes("Brief week.yaml")).toBe(name !== "anonymous");
  expect(unpackedPage(await read(`${all}.html`)) === text).toBe(true);
});

test("frames that keep no view show their figures, and stderr counts them", async () => {
  const plain = ["grade", "one/shoot/13-recompose-boathouse.jpg", "--place", "0"];
  await tonefall(...plain, "-f", "json", "-o", "plain.json");
  const { code, stderr } = await tonefall("merge", "plain.json", "--report", "plain.html");
  expect([code, stderr]).toEqual([0, expect.stringContaining("figures alone for 1 frame:")]);
  expect(unpackedPage(await read("plain.html")).includes("Figures, stops from middle grey")).toBe(
    true,
  );
});

test.each([
  ["a table cannot hold pictures", ["grade", "one", "--for-report"], "--format json or ndjson"],
  [
    "one report is asked for twice",
    ["grade", "one", "--for-report", "--report", "x.html", "-f", "json"],
    "--report or --for-report",
  ],
  [
    "a journal holds no pixels",
    ["grade", "one", "--for-report", "--resume", "x.journal", "-f", "json"],
    "--for-report or --resume",
  ],
])("is refused: %s", async (_, args, why) => {
  const { code, stderr } = await tonefall(...args);
  expect([code, stderr]).toEqual([2, expect.stringContaining(why)]);
});

test("what is no view is refused, and gets nothing into a page", async () => {
  const plain = JSON.parse(await read("plain.json"));
  plain.frames[0].view = { shown: { picture: { source: 'x" onerror="alert(1)' } } };
  await writeFile(join(folder, "hostile.json"), JSON.stringify(plain));
  const { code, stderr } = await tonefall("merge", "hostile.json", "--report", "hostile.html");
  expect([code, stderr]).toEqual([2, expect.stringContaining("keeps for a report is damaged")]);
  await expect(read("hostile.html")).rejects.toThrow("ENOENT");
});
