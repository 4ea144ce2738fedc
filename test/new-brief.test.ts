import { copyFile, mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { runHere } from "./runHere.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");
const ODD = "x [1] (2)!{a,b}.jpg";

let folder: string;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "tonefall briefs "));
  await mkdir(join(folder, "a shoot/été"), { recursive: true });
  await copyFile(join(HARBOUR, "01-tarred-hull-as-metered.jpg"), join(folder, "a shoot/hull.jpg"));
  await copyFile(join(HARBOUR, "05-limewash-as-metered.jpg"), join(folder, "a shoot/été", ODD));
  await writeFile(join(folder, "a shoot/broken.jpg"), "no picture");
});

afterAll(async () => {
  await rm(folder, { recursive: true });
});

describe("what a command says of paths", () => {
  test.each([
    [["new-brief", "a shoot/hull.jpg"], "that is a file; name the folder that holds it"],
    [["new-set", "a shoot/hull.jpg"], "that is a file; name the folder that holds it"],
    [["new-set", "nowhere"], "there is no such folder"],
    [
      ["tones", "-o", "no folder/tones.txt"],
      "tones.txt cannot be written because there is no folder no folder; make it first",
    ],
    [["tones", "-o", "a shoot/hull.jpg/tones.txt"], "a shoot/hull.jpg is not a folder"],
  ])("%j: %s", async (args, says) => {
    const { code, stdout, stderr } = await runHere(args, { cwd: folder });
    expect([code, stdout]).toEqual([2, ""]);
    expect(stderr).toContain(says);
  });

  test("a picture whose name begins with a dash is not taken for an option", async () => {
    await writeFile(join(folder, "-hull.jpg"), "");
    const { code, stderr } = await runHere(["grade", "-hull.jpg"], { cwd: folder });
    expect([code, stderr]).toEqual([2, expect.stringContaining("write ./-hull.jpg")]);
    await rm(join(folder, "-hull.jpg"));
  });
});

describe("tonefall new-brief", () => {
  test("writes a brief file that works as it is, and leaves out what cannot be read", async () => {
    const { code, stderr } = await runHere(["new-brief", "a shoot"], { cwd: folder });
    expect(code).toBe(3);
    expect(stderr).toContain("broken.jpg is left out");
    expect(stderr).toContain(`wrote ${join("a shoot", "brief.yaml")} for 2 pictures`);
    const run = await runHere(["grade", "a shoot", "--brief", "a shoot/brief.yaml", "-f", "json"], {
      cwd: folder,
    });
    const rows = JSON.parse(run.stdout).frames.filter(
      ({ failure }: { failure: unknown }) => failure === null,
    );
    expect(rows).toHaveLength(2);
    for (const row of rows) expect(row).toMatchObject({ region: "spot", verdict: null });
    expect(run.stderr).not.toContain("no frame matches");
  });

  test("has a line for every picture, which matches that picture alone once the # is gone", async () => {
    const { stdout } = await runHere(["new-brief", "a shoot", "-o", "-"], { cwd: folder });
    const places = ["-1", "-2"];
    const lines = stdout
      .split("\n")
      .filter((line) => line.includes("place: middle-grey"))
      .map((line, i) => line.replace(/^# /, "").replace("middle-grey", places[i] as string));
    expect(lines).toHaveLength(2);
    await writeFile(join(folder, "a shoot/each.yaml"), lines.join("\n"));
    const run = await runHere(["grade", "a shoot", "--brief", "a shoot/each.yaml", "-f", "json"], {
      cwd: folder,
    });
    const placed = JSON.parse(run.stdout).frames.map(
      ({ file, placement }: { file: string; placement: { from: number } | null }) => [
        file,
        placement?.from ?? null,
      ],
    );
    expect(placed).toEqual([
      ["a shoot/broken.jpg", null],
      [`a shoot/été/${ODD}`, expect.any(Number)],
      ["a shoot/hull.jpg", expect.any(Number)],
    ]);
    expect(placed[1][1]).not.toBe(placed[2][1]);
  });

  test("never replaces a brief", async () => {
    const path = join(folder, "a shoot/kept.yaml");
    await writeFile(path, '"**": { place: tar }\n');
    const { code, stderr } = await runHere(["new-brief", "a shoot", "-o", "a shoot/kept.yaml"], {
      cwd: folder,
    });
    expect(code).toBe(2);
    expect(stderr).toContain("would-overwrite");
    expect(await readFile(path, "utf8")).toBe('"**": { place: tar }\n');
  });
});

describe("tonefall check", () => {
  test("finds the set file in a folder, and says how to get one where there is none", async () => {
    const found = await runHere(["check", HARBOUR, "-f", "json"], { cwd: folder });
    expect(JSON.parse(found.stdout).sets).toHaveLength(1);
    const { code, stderr } = await runHere(["check", "a shoot"], { cwd: folder });
    expect(code).toBe(2);
    expect(stderr).toContain("tonefall new-set a shoot");
  });

  test("tells of a missing picture once, with the number of claims that rest on it", async () => {
    const set = `set: gone
frames:
  here: { file: hull.jpg, claims: [{ falls: { place: 0, region: spot } }] }
  gone: { file: gone.jpg, claims: [{ falls: { place: 0 } }, { unclipped: {} }, { record: { shutter: 1/45 } }] }
`;
    await writeFile(join(folder, "a shoot/gone.yaml"), `${set}allow: [extra-file]\n`);
    const run = await runHere(["check", "a shoot/gone.yaml"], { cwd: folder });
    expect(run.code).toBe(3);
    expect(run.stdout.split("could not be")).toHaveLength(2);
    expect(run.stdout.replace(/\s+/g, " ")).toContain("3 claims depend on it.");
    const json = await runHere(["check", "a shoot/gone.yaml", "-f", "json"], { cwd: folder });
    expect(JSON.parse(json.stdout).summary.notRun).toBe(4);
  });

  test("writes shutter times as cameras show them, claimed and recorded alike", async () => {
    await writeFile(
      join(folder, "a shoot/time.yaml"),
      "set: time\nallow: [extra-file]\nframes:\n  a: { file: hull.jpg, claims: [{ record: { shutter: 0.0222 } }] }\n",
    );
    const { stdout } = await runHere(["check", "a shoot/time.yaml"], { cwd: folder });
    expect(stdout).toContain("shutter 1/45");
    expect(stdout).toContain("shutter 1/25");
    expect(stdout).not.toContain("0.0222");
  });
});
