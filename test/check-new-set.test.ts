import { copyFile, mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import { checkSet } from "@tonefall/grader";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { parse } from "yaml";
import { run } from "../packages/grader/src/cli/run.ts";
import { newFolder } from "./pictures.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");

const FILES = [
  "07-bracket-minus-2.jpg",
  "08-bracket-minus-1.jpg",
  "09-bracket-middle.jpg",
  "12-recompose-metered-on-moss.jpg",
  "13-recompose-boathouse.jpg",
  "20-same-exposure-f4.jpg",
  "21-same-exposure-f8.jpg",
  "22-same-exposure-f11.jpg",
  "28-lit-window-corrected.jpg",
];

let folder = "";
beforeAll(async () => {
  folder = join(await newFolder(), "a shoot");
  await mkdir(folder);
  for (const file of FILES) await copyFile(join(HARBOUR, file), join(folder, file));
  await copyFile(join(HARBOUR, "05-limewash-as-metered.jpg"), join(folder, "0005.jpg"));
});
afterAll(() => rm(join(folder, ".."), { recursive: true }));

async function command(
  ...args: string[]
): Promise<{ code: number; stdout: string; stderr: string }> {
  let stdout = "";
  let stderr = "";
  const code = await run(args, {
    stdout: { write: (text) => (stdout += text) },
    stderr: { write: (text) => (stderr += text) },
    env: {},
  });
  return { code, stdout, stderr };
}

describe("tonefall new-set", () => {
  test("writes a set whose claims are comments; confirmed as they are, they are kept", async () => {
    const { code, stderr } = await command("new-set", folder);
    const set = join(folder, "set.yaml");
    const told = `tonefall: wrote ${set}; next: read its comments, then tonefall check "${set}"\n`;
    expect([code, stderr]).toEqual([0, told]);
    const text = await readFile(set, "utf8");
    const asWritten = parse(text);
    expect(asWritten.set).toBe("a shoot");
    expect(Object.keys(asWritten.frames)[0]).toBe("frame-0005");
    expect(asWritten.relations).toBeUndefined();
    expect((await checkSet(set)).summary).toMatchObject({ claims: 0, failing: 0 });

    expect(asWritten.frames["09-bracket-middle"].file).toBe("09-bracket-middle.jpg");
    expect(text).toMatch(
      /- record: \{ mode: [a-z-]+, pattern: [a-z-]+, aperture: [\d.]+, shutter: 1\/\d+, iso: \d+, compensation: [-\d.]+, flash: false \}/,
    );
    const confirmed = text.replace(/^( *)# (relations:|claims:| {2}- )/gm, "$1$2");
    await writeFile(set, confirmed);
    const { relations } = parse(confirmed);
    expect(relations).toEqual([
      {
        bracket: {
          frames: ["07-bracket-minus-2", "08-bracket-minus-1", "09-bracket-middle"],
          steps: ["0.00", "+1.00", "+2.00"],
          varies: "shutter",
        },
      },
      {
        recompose: {
          metered: { frame: "12-recompose-metered-on-moss", place: -0.1 },
          used: { frame: "13-recompose-boathouse", place: 2 },
        },
      },
      {
        equivalent: {
          frames: ["20-same-exposure-f4", "21-same-exposure-f8", "22-same-exposure-f11"],
        },
      },
    ]);
    const { summary } = await checkSet(set);
    expect(summary).toMatchObject({ missed: 0, undecided: 0, notRun: 0 });
    expect(summary.kept).toBeGreaterThan(25);
  });

  test("does not write over a set file", async () => {
    await writeFile(join(folder, "set.yaml"), "# mine\n");
    const { code, stderr } = await command("new-set", folder);
    expect([code, stderr.includes("set.yaml is a text already")]).toEqual([2, true]);
    expect(await readFile(join(folder, "set.yaml"), "utf8")).toBe("# mine\n");
  });

  test("a picture that cannot be read is left out and told", async () => {
    await writeFile(join(folder, "zz.jpg"), "no picture");
    const { code, stdout, stderr } = await command("new-set", folder, "--output", "-");
    expect([code, stderr.includes("zz.jpg is left out")]).toEqual([3, true]);
    expect(Object.keys(parse(stdout).frames)).toHaveLength(FILES.length + 1);
    await rm(join(folder, "zz.jpg"));
  });

  test("names frames by their files, recognisably and in their order, and the set runs", async () => {
    const odd = join(folder, "odd");
    await mkdir(odd);
    const files = [
      "1e5.jpg",
      "IMG_0042.JPG",
      "Über 3.jpg",
      "a b.jpeg",
      "a b.jpg",
      "写真.jpg",
      "null.jpg",
    ];
    for (const file of files) await copyFile(join(HARBOUR, FILES[0] as string), join(odd, file));
    await copyFile(join(HARBOUR, FILES[0] as string), join(odd, "back\\slash.jpg"));
    const { code } = await command("new-set", odd);
    expect(code).toBe(0);
    const text = await readFile(join(odd, "set.yaml"), "utf8");
    const { frames } = parse(text);
    const byFile = Object.entries(frames as Record<string, { file: string }>);
    expect(Object.fromEntries(byFile.map(([id, { file }]) => [file, id]))).toEqual({
      "1e5.jpg": "1e5",
      "IMG_0042.JPG": "IMG_0042",
      "Über 3.jpg": "Über-3",
      "a b.jpeg": "a-b-jpeg",
      "a b.jpg": "a-b-jpg",
      "写真.jpg": "写真",
      "null.jpg": "null",
    });
    expect(text).toContain("# Left out, because a set file cannot hold this name: back\\slash.jpg");
    const asWritten = await checkSet(join(odd, "set.yaml"));
    expect(asWritten.sets[0]?.rows.map(({ code: why }) => why)).toEqual(["extra-file"]);
    const confirmed = text.replace(/^( *)# (claims:| {2}- )/gm, "$1$2");
    await writeFile(join(odd, "set.yaml"), confirmed);
    const { summary } = await checkSet(join(odd, "set.yaml"));
    expect(summary).toMatchObject({ missed: 1, undecided: 0, notRun: 0 });
    await rm(odd, { recursive: true });
  });
});
