import { cp, mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { basename, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import {
  type CameraKit,
  type CheckResult,
  checkKeeper,
  checkReport,
  checkSets,
  gradeFrames,
  kitText,
  measureBracket,
  mergeChecks,
} from "@tonefall/grader";
import { afterAll, beforeAll, expect, test } from "vitest";
import { RENDERINGS, type Rendering, writeBracket } from "./kitScene.ts";
import { newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";
import type { Run } from "./runTonefall.ts";
import { unpackedPage } from "./unpackedPage.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");
const PARTS = [1, 2, 3, 4];
const NAMES = PARTS.map((index) => `part-${index}.json`);

/** Relations between frames of different parts, claims that hold and do not, a raw file, a kit, and a picture that is not there. */
const SET = `set: "<b>Quay</b>"
kits: { room: { model: A7, make: Ours, measured: kits/mine.yaml } }
frames:
  dark:
    file: 01-tarred-hull-as-metered.jpg
    regions: { hull: spot, quay: "box:0.6,0.84,0.3,0.12" }
    claims:
      - falls: { region: hull, place: tar }
      - reading: { pattern: centre-weighted, reads: 0 }
      - record: { iso: 100 }
  later: { file: 02-tarred-hull-corrected.jpg, regions: { hull: spot } }
  lost: { file: not-there.jpg, claims: [{ falls: { place: 0 } }] }
  raw: { file: 29-slip-and-boathouse.dng, claims: [{ falls: { place: 0 } }, { unclipped: {} }] }
  through: { file: through.jpg, kit: room, claims: [{ falls: { place: 0, basis: scene } }] }
relations:
  - tonal-pair: { frame: dark, regions: [hull, quay] }
  - correction: { from: dark, to: later, by: -2, region: hull, place: tar }
  - same-rendering: { frames: [{ frame: later }, { frame: through, region: spot }] }
pins:
  later: ${JSON.stringify({ sha256: "0".repeat(64) })}
`;
const OTHER = `set: Another
frames: { wall: { file: wall.jpg, claims: [{ falls: { region: spot, place: limewash } }] } }
`;

let folder = "";
const tonefall = (...args: string[]): Promise<Run> => runHere(args, { cwd: folder });
const read = (name: string): Promise<string> => readFile(join(folder, name), "utf8");

beforeAll(async () => {
  folder = await newFolder();
  const quay = join(folder, "one/quay");
  await mkdir(join(quay, "kits"), { recursive: true });
  await mkdir(join(folder, "one/wall"));
  for (const name of ["01-tarred-hull-as-metered.jpg", "02-tarred-hull-corrected.jpg"]) {
    await cp(join(HARBOUR, name), join(quay, name));
  }
  await cp(join(HARBOUR, "29-slip-and-boathouse.dng"), join(quay, "29-slip-and-boathouse.dng"));
  await cp(join(HARBOUR, "06-limewash-corrected.jpg"), join(folder, "one/wall/wall.jpg"));
  const rendering = RENDERINGS["a steep S-curve"] as Rendering;
  const paths = await writeBracket(join(quay, "kits"), 5, () => ({ rendering }));
  const { kit } = await measureBracket(paths);
  await writeFile(join(quay, "kits/mine.yaml"), kitText(kit as CameraKit));
  await cp(paths[2] as string, join(quay, "through.jpg"));
  for (const path of paths) await rm(join(quay, "kits", basename(path)));
  await writeFile(join(quay, "set.yaml"), SET);
  await writeFile(join(folder, "one/wall/set.yaml"), OTHER);
  // Another machine, which reaches the same files by another path.
  await cp(join(folder, "one"), join(folder, "two"), { recursive: true });
  for (const index of PARTS) {
    const at = index === 2 ? join(folder, "two") : "one";
    const part = ["--shard", `${index}/4`, "--for-report", "-f", "json"];
    const sets = [`${at}/quay/set.yaml`, `${at}/wall/set.yaml`];
    await tonefall("check", ...sets, ...part, "-o", `part-${index}.json`);
  }
}, 120_000);
afterAll(() => rm(folder, { recursive: true }));

const SETS = ["one/quay/set.yaml", "one/wall/set.yaml"];

test.each([
  { name: "with file names", page: [] },
  { name: "anonymous", page: ["--anonymous"] },
])("the page of all parts is that of one run, $name", async ({ name, page }) => {
  const [one, all] = [`one ${name}.html`, `all ${name}.html`];
  const whole = await tonefall("check", ...SETS, ...page, "--report", one, "-f", "json");
  const parts = [...NAMES].reverse();
  const merged = await tonefall("merge", ...parts, ...page, "--report", all, "-f", "json");
  expect([merged.code, merged.stdout, merged.stderr]).toEqual([3, whole.stdout, ""]);
  const text = unpackedPage(await read(one));
  // All that the parts have to bring along is there.
  expect(text.match(/<img [^>]*data:image\/jpeg/g)?.length).toBeGreaterThan(4);
  const pieces = ["Read a spot", "Encoded values", "The sensor&#39;s own values", "Not measured:"];
  expect(pieces.filter((piece) => !text.includes(piece))).toEqual([]);
  expect(text.match(/<article class="sheet/g)).toHaveLength(3);
  expect(text.includes("Quay")).toBe(name !== "anonymous");
  expect(unpackedPage(await read(all)) === text).toBe(true);
});

test("the parts do ask for one another's frames, and the kit is used", async () => {
  const parts: CheckResult[] = [];
  for (const name of NAMES) parts.push(JSON.parse(await read(name)));
  const partOf = (id: string): number =>
    parts.findIndex(({ sets }) => sets[0]?.rows.some((row) => row.id.startsWith(id)));
  expect(partOf("later/pin")).toBeLessThan(partOf("correction/"));
  const through = parts
    .flatMap(({ sets }) => sets[0]?.rows ?? [])
    .find(({ id }) => id === "through.falls");
  expect(through?.stops?.basis).toBe("scene");
});

test("code joins parts as the command does", async () => {
  const wall = pathToFileURL(join(folder, "one/wall/set.yaml"));
  const whole = await checkReport(join(folder, "one wall.html"), { pictures: "none" });
  const result = await checkSets([wall], { watch: whole });
  await whole.write(result);
  await whole.close();
  const parts: CheckResult[] = [];
  for (const index of [1, 2]) {
    const keeper = checkKeeper({ pictures: "none" });
    const shard = { index, of: 2 };
    parts.push(keeper.keep(await checkSets([wall], { shard, watch: keeper })));
  }
  const merged = mergeChecks(parts);
  expect(merged).toEqual(result);
  const report = await checkReport(join(folder, "all wall.html"), { pictures: "none" });
  for (const part of parts) await report.show(part);
  await report.write(merged);
  await report.close();
  const [one, all] = [await read("one wall.html"), await read("all wall.html")];
  expect(unpackedPage(all) === unpackedPage(one)).toBe(true);
});

test("without --report, parts that keep views are joined as others are", async () => {
  const whole = await tonefall("check", ...SETS, "-f", "json");
  const merged = await tonefall("merge", ...NAMES, "-f", "json");
  expect([merged.code, merged.stdout === whole.stdout]).toEqual([3, true]);
});

test.each([
  ["a table cannot hold pictures", ["check", ...SETS, "--for-report"], "--format json with"],
  [
    "one report is asked for twice",
    ["check", ...SETS, "--for-report", "--report", "x.html", "-f", "json"],
    "--report or --for-report",
  ],
  [
    "a title, where the set's name is one",
    ["merge", ...NAMES, "--report", "x.html", "--title", "Week 1"],
    "leave --title out",
  ],
])("is refused: %s", async (_, args, why) => {
  const { code, stderr } = await tonefall(...args);
  expect([code, stderr]).toEqual([2, expect.stringContaining(why)]);
});

test.each([
  {
    name: "a part that keeps nothing",
    change: ({ view: _, ...part }: CheckResult): object => part,
    why: "part-3.json keeps nothing for a report; run its part again with --for-report",
  },
  {
    name: "a view that was changed",
    change: (part: CheckResult): object => ({ ...part, view: { ...part.view, frames: [] } }),
    why: "Part 3/4 of the check keeps for a report what is damaged",
  },
  {
    name: "what is no view",
    change: (part: CheckResult): object => ({ ...part, view: { sets: ["<script>"] } }),
    why: "Part 3/4 of the check keeps for a report what is damaged",
  },
])("is refused, and no page is written: $name", async ({ change, why }) => {
  const third = await read("part-3.json");
  await writeFile(join(folder, "part-3.json"), JSON.stringify(change(JSON.parse(third))));
  const { code, stdout, stderr } = await tonefall("merge", ...NAMES, "--report", "refused.html");
  await writeFile(join(folder, "part-3.json"), third);
  expect([code, stdout, stderr]).toEqual([2, "", expect.stringContaining(why)]);
  await expect(read("refused.html")).rejects.toThrow("ENOENT");
});

test.each([
  ["one path where several are expected", () => checkSets("set.yaml" as never), "checkSet"],
  ["no set at all", () => checkSets([]), "at least one set file"],
  ["a URL that is no file's", () => checkSets([new URL("https://x.org/set.yaml")]), "https:"],
  [
    "a part that no run has",
    () => checkSets(["set.yaml"], { shard: { index: 3, of: 2 } }),
    "{ index: 3, of: 2 }",
  ],
  ["one picture where several are expected", () => gradeFrames("a.jpg").next(), "gradeFrame"],
])("code is refused %s", async (_, call, why) => {
  await expect(call()).rejects.toMatchObject({
    code: "bad-option",
    message: expect.stringContaining(why),
  });
});
