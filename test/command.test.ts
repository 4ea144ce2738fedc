import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { chmod, mkdir, readdir, readFile, rm, utimes, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { flat, METERED_EXIF, newFolder } from "./pictures.ts";
import { COMMAND, type Run, runTonefall } from "./runTonefall.ts";

let folder = "";

beforeAll(async () => {
  folder = await newFolder();
  const set = join(folder, "a shoot", "första");
  await mkdir(set, { recursive: true });
  await mkdir(join(folder, "nothing here"));
  const write = async (name: string, code: number): Promise<void> => {
    await flat(code).withExif(METERED_EXIF).jpeg({ quality: 100 }).toFile(join(set, name));
  };
  await write("IMG_10.jpg", 118);
  await write("IMG_9.jpg", 60);
  await write("white wall.jpg", 221);
  await write(".hidden.jpg", 118);
  await writeFile(join(set, "notes.txt"), "not a picture");
  await writeFile(join(folder, "a shoot", "zero.jpg"), "");
});
afterAll(() => rm(folder, { recursive: true }));

describe("tonefall grade", () => {
  test("grades a folder through and through, in natural order, with / in names", async () => {
    const { code, stdout } = await runTonefall(["grade", "a shoot", "--format", "json"], {
      cwd: folder,
    });
    const { schemaVersion, frames, summary } = JSON.parse(stdout);
    expect(schemaVersion).toBe(1);
    expect(frames.map(({ file }: { file: string }) => file)).toEqual([
      "a shoot/första/IMG_9.jpg",
      "a shoot/första/IMG_10.jpg",
      "a shoot/första/white wall.jpg",
      "a shoot/zero.jpg",
    ]);
    expect(frames[1].exposure).toMatchObject({
      aperture: { value: 5.6, exact: Math.sqrt(32), from: "Exif FNumber" },
      iso: { value: 400 },
      compensation: { value: expect.closeTo(-2 / 3, 3) },
      meteringPattern: { value: "spot" },
      brightnessValue: { value: null, reason: "absent" },
    });
    expect(frames[1].fall.stops).toBeCloseTo(0.0093, 2);
    expect([frames[1].verdict, frames[1].error, frames[1].placement]).toEqual([null, null, null]);
    expect(frames[3].failure.code).toBe("empty-file");
    expect(summary).toMatchObject({ frames: 4, withoutPlacement: 3, failed: 1 });
    expect(code).toBe(3);
  });

  test("fails on a miss only when asked, and says so by its exit code", async () => {
    const frame = join(folder, "a shoot", "första", "IMG_9.jpg");
    expect((await runTonefall(["grade", frame, "--place", "0"])).code).toBe(0);
    expect((await runTonefall(["grade", frame, "--place", "0", "--fail-on-miss"])).code).toBe(1);
    expect((await runTonefall(["grade", frame, "--place=-2", "--fail-on-miss"])).code).toBe(0);
    expect((await runTonefall(["grade", frame, "--place", "-2", "--fail-on-miss"])).code).toBe(0);
  });

  test("the table fits 80 columns, tells by word and sign, and has no colour when piped", async () => {
    const { stdout } = await runTonefall(["grade", "a shoot", "--place", "0"], { cwd: folder });
    for (const line of stdout.split("\n")) expect([...line].length, line).toBeLessThanOrEqual(80);
    expect(stdout).toMatch(/IMG_9.*-1\.99 ± 0\.05\s+▼ darker/);
    expect(stdout).toMatch(/IMG_10.*\+0\.01 ± 0\.05\s+within/);
    expect(stdout).toContain("▲ lighter");
    expect(stdout).toContain("4 frames: 1 within, 1 lighter, 1 darker, 1 not graded");
    expect(stdout).not.toContain("\u001b");
    expect(stdout).not.toMatch(/undefined|NaN|null/);
  });

  test("colour comes when forced and goes with NO_COLOR", async () => {
    const args = ["grade", join(folder, "a shoot", "första"), "--place", "0"];
    expect((await runTonefall(args, { env: { FORCE_COLOR: "1" } })).stdout).toContain("\u001b");
    expect(
      (await runTonefall(args, { env: { FORCE_COLOR: "1", NO_COLOR: "1" } })).stdout,
    ).not.toContain("\u001b");
  });

  test("ndjson is a row a line", async () => {
    const { stdout } = await runTonefall([
      "grade",
      join(folder, "a shoot"),
      "-f",
      "ndjson",
      "-p",
      "0",
    ]);
    const rows = stdout
      .trimEnd()
      .split("\n")
      .map((line) => JSON.parse(line));
    expect(rows.map(({ verdict }) => verdict)).toEqual(["under", "within", "over", null]);
    expect(rows.every(({ schemaVersion }) => schemaVersion === 1)).toBe(true);
  });

  test("csv is read back by another's parser, and formulas are defused", async () => {
    const nasty = join(folder, "=cmd()");
    await mkdir(nasty, { recursive: true });
    await flat(118).jpeg().toFile(join(nasty, 'a,"b".jpg'));
    const { stdout } = await runTonefall(["grade", "=cmd()", "-f", "csv", "--columns", "all"], {
      cwd: folder,
    });
    const [row] = parse(stdout, { columns: true }) as Record<string, string>[];
    expect(row?.["file"]).toBe('\'=cmd()/a,"b".jpg');
    expect(Number(row?.["fall_stops"])).toBeCloseTo(0.0093, 2);
    expect(row?.["verdict"]).toBe("");
    await rm(nasty, { recursive: true });
  });

  test("markdown escapes what names may hold", async () => {
    const nasty = join(folder, "md");
    await mkdir(nasty, { recursive: true });
    await flat(118).jpeg().toFile(join(nasty, "a|b<img>_x_.jpg"));
    const { stdout } = await runTonefall(["grade", nasty, "-f", "markdown"]);
    expect(stdout).toContain("a\\|b&lt;img&gt;\\_x\\_.jpg");
    await rm(nasty, { recursive: true });
  });

  test("--output writes the whole result or nothing", async () => {
    const target = join(folder, "result.json");
    const args = ["grade", join(folder, "a shoot", "första"), "-f", "json", "-o"];
    const { code, stdout } = await runTonefall([...args, target]);
    expect([code, stdout]).toEqual([0, ""]);
    expect(JSON.parse(await readFile(target, "utf8")).frames).toHaveLength(3);
    expect((await readdir(folder)).filter((name) => name.startsWith("result.json"))).toEqual([
      "result.json",
    ]);
    const nowhere = await runTonefall([...args, join(folder, "no such folder", "result.json")]);
    expect(nowhere.code).toBe(2);
    expect(nowhere.stderr).toContain("--output");
    expect(existsSync(join(folder, "no such folder"))).toBe(false);
  });

  test("what a killed run left half-written goes after a day; nothing else does", async () => {
    const place = join(folder, "left behind");
    await mkdir(place);
    const left = [".tonefall-0123456789ab.part", ".tonefall-ba9876543210.part", ".tonefall-x.part"];
    for (const name of left) await writeFile(join(place, name), "half");
    const twoDaysAgo = Date.now() / 1000 - 2 * 86_400;
    for (const name of [left[0], left[2]]) {
      await utimes(join(place, name as string), twoDaysAgo, twoDaysAgo);
    }
    const frame = join(folder, "a shoot", "första", "IMG_9.jpg");
    await runTonefall(["grade", frame, "-o", join(place, "result.txt")]);
    expect((await readdir(place)).sort()).toEqual(
      [...left.slice(1).reverse(), "result.txt"].sort(),
    );
    await rm(place, { recursive: true });
  });

  test("nothing of the photographs is changed", async () => {
    const frame = join(folder, "a shoot", "första", "IMG_10.jpg");
    const before = await readFile(frame);
    await runTonefall(["grade", frame, "--place", "tar"]);
    expect((await readFile(frame)).equals(before)).toBe(true);
  });

  test.each([
    { args: ["--place", "nosuchtone"], says: "bad-place" },
    { args: ["--place", "snw"], says: 'did you mean "snow"' },
    { args: ["--region", "box:0,0,2,1"], says: "bad-region" },
    { args: ["--region", "blob"], says: "bad-region" },
    { args: ["--tolerance", "-1"], says: "bad-tolerance" },
    { args: ["--basis", "raw"], says: "rendered" },
    { args: ["--format", "pdf"], says: "markdown" },
    { args: ["--jobs", "0"], says: "1 to 256" },
    { args: ["--brief", "no-such-brief.yaml"], says: "bad-brief" },
    { args: ["--nosuch"], says: "unknown option" },
  ])("refuses $args with one clear line and code 2", async ({ args, says }) => {
    const { code, stdout, stderr } = await runTonefall(["grade", "a shoot", ...args], {
      cwd: folder,
    });
    expect(code).toBe(2);
    expect(stdout).toBe("");
    expect(stderr).toContain(says);
    expect(stderr.trimEnd().split("\n").length).toBeLessThanOrEqual(2);
    expect(stderr).not.toContain("    at ");
  });

  test("an empty folder is told, and a run of nothing is no success", async () => {
    const { code, stderr } = await runTonefall(["grade", "nothing here"], { cwd: folder });
    expect(code).toBe(2);
    expect(stderr).toContain("no-frames");
    const mixed = await runTonefall(["grade", "nothing here", "a shoot/första"], { cwd: folder });
    expect(mixed.code).toBe(0);
    expect(mixed.stderr).toContain("no pictures in nothing here");
  });

  test.each(["grade", "meter", "read", "check"])(
    "%s counts what a folder holds and nothing opens, by kind",
    async (command) => {
      const mixed = join(folder, `mixed ${command}`);
      await mkdir(join(mixed, "within"), { recursive: true });
      await flat(118).jpeg().toFile(join(mixed, "a.jpg"));
      const set = "set: One\nframes: { a: { file: a.jpg, claims: [{ unclipped: {} }] } }\n";
      const others = ["a.mov", "within/b.MOV", "notes.txt", "READ ME", "a.jpg.xmp", "b.json"];
      for (const name of others) await writeFile(join(mixed, name), "");
      await writeFile(join(mixed, "set.yaml"), set);
      const target = command === "check" ? join(mixed, "set.yaml") : mixed;
      const { code, stderr } = await runTonefall([command, target]);
      expect([code, stderr]).toEqual([
        0,
        "tonefall: 4 files were skipped, of kinds that Tonefall does not open: 2 .mov, 1 without extension, 1 .txt\n",
      ]);
      const named = await runTonefall(["read", join(mixed, "a.jpg")]);
      expect(named.stderr).toBe("");
      await rm(mixed, { recursive: true });
    },
  );

  test("a missing path is a row and the others are graded", async () => {
    const { code, stdout } = await runTonefall(
      ["grade", "gone.jpg", "a shoot/första/IMG_9.jpg", "-f", "json"],
      {
        cwd: folder,
      },
    );
    expect(code).toBe(3);
    const { frames } = JSON.parse(stdout);
    expect([frames[0].failure.code, frames[1].failure]).toEqual(["no-such-file", null]);
  });

  test.skipIf(process.getuid?.() === 0)(
    `an unreadable folder is told and does not end the run${process.getuid?.() === 0 ? " (skipped: root may read everything)" : ""}`,
    async () => {
      const closed = join(folder, "closed");
      await mkdir(closed);
      await chmod(closed, 0);
      const { code, stderr } = await runTonefall(["grade", closed, "a shoot/första"], {
        cwd: folder,
      });
      await chmod(closed, 0o700);
      expect([code, stderr.includes("EACCES")]).toEqual([3, true]);
    },
  );

  test("an interrupt ends with 130 and leaves no half-written file", async () => {
    const shoot = join(folder, "long shoot");
    await mkdir(shoot);
    const frame = await flat(118, 3000, 2000).jpeg().toBuffer();
    for (let i = 0; i < 200; i++) await writeFile(join(shoot, `IMG_${i}.jpg`), frame);
    const target = join(folder, "interrupted.json");
    const started = performance.now();
    const child = spawn(process.execPath, [COMMAND, "grade", shoot, "-f", "json", "-o", target]);
    const streaming = spawn(process.execPath, [COMMAND, "grade", shoot, "-f", "ndjson"]);
    // The first row of the one tells that, after as long again, the other is at work too.
    await new Promise((done) => streaming.stdout.once("data", done));
    await new Promise((done) => setTimeout(done, (performance.now() - started) / 2));
    const ended = [child, streaming].map((one) => new Promise((done) => one.on("close", done)));
    child.kill("SIGINT");
    streaming.kill("SIGINT");
    expect(await Promise.all(ended)).toEqual([130, 130]);
    expect((await readdir(folder)).filter((name) => name.includes("interrupted"))).toEqual([]);
    await rm(shoot, { recursive: true });
  });

  test("a reader that stops early is no error", async () => {
    const child = spawn(
      "sh",
      [
        "-c",
        `"${process.execPath}" "${COMMAND}" grade "${join(folder, "a shoot")}" -f ndjson --histograms | head -c 10`,
      ],
      { stdio: "pipe" },
    );
    let stderr = "";
    child.stderr.on("data", (chunk) => {
      stderr += chunk;
    });
    const code = await new Promise((done) => child.on("close", done));
    expect(code).toBe(0);
    // What the folder holds besides may be told; the reader that left is not.
    expect(stderr).toMatch(/^(?:tonefall: 1 file was skipped[^\n]*\n)?$/);
  });
});

describe("brief files", () => {
  const brief = async (text: string, extra: readonly string[] = []): Promise<Run> => {
    await writeFile(join(folder, "a shoot", "brief.yaml"), text);
    return runTonefall(
      ["grade", "a shoot/första", "--brief", "a shoot/brief.yaml", "-f", "json", ...extra],
      {
        cwd: folder,
      },
    );
  };

  test("globs bring their keys, later ones override, the command line overrides all", async () => {
    const text = [
      '"**": { place: 0, tolerance: 1/3 }',
      '"IMG_9.jpg": { place: -2 }',
      '"första/white*": { place: snow, tolerance: 0.5 }',
    ].join("\n");
    const { frames } = JSON.parse((await brief(text)).stdout);
    expect(frames.map(({ placement }: { placement: object }) => placement)).toMatchObject([
      { from: -2, to: -2 },
      { from: 0, to: 0 },
      { from: 1.5, to: 2.3, text: "snow" },
    ]);
    expect(frames.map(({ verdict }: { verdict: string }) => verdict)).toEqual([
      "within",
      "within",
      "within",
    ]);
    expect(frames[2].tolerance).toBe(0.5);
    const typed = JSON.parse((await brief(text, ["--place", "+3", "--tolerance", "1"])).stdout);
    expect(typed.frames.map(({ tolerance }: { tolerance: number }) => tolerance)).toEqual([
      1, 1, 1,
    ]);
    expect(typed.frames[0].placement.from).toBe(3);
  });

  test("a file that no glob matches is measured without a verdict; a glob that matches no file is told", async () => {
    const { code, stdout, stderr } = await brief(
      '"IMG_9.jpg": { place: -2 }\n"typo*.jpg": { place: 0 }\n',
    );
    const { frames } = JSON.parse(stdout);
    expect(frames.map(({ verdict }: { verdict: string | null }) => verdict)).toEqual([
      "within",
      null,
      null,
    ]);
    expect(stderr).toContain('"typo*.jpg"');
    expect(code).toBe(0);
  });

  test.each([
    ["a tone that is not on the chart", '"*.jpg": { place: nosuchtone }', "brief.yaml:1:"],
    ["a key that is not one", '"*.jpg":\n  place: 0\n  plaec: 1\n', '"plaec" is not a key'],
    ["broken YAML", '"*.jpg": { place: 0', "brief.yaml:1:"],
    ["a value of the wrong kind", '"*.jpg": { place: [1, 2] }', '"*.jpg.place"'],
    ["a list", "- place: 0\n", "globs of files, each with its brief"],
    ["bare text", "hello", "globs of files, each with its brief"],
    ["nothing", "", "no entries"],
    ["a region outside the frame", '"*.jpg": { region: "box:0.9,0,0.5,1" }', "brief.yaml:1:"],
    [
      "aliases of aliases",
      `a: &a [x,x,x,x,x,x,x,x,x]\n${"bcdefghij"
        .split("")
        .map((c, i) => `${c}: &${c} [${`*${"abcdefghij"[i]},`.repeat(9)}]`)
        .join("\n")}`,
      "brief.yaml",
    ],
  ])("%s is refused with its place and code 2", async (_what, text, says) => {
    const { code, stdout, stderr } = await brief(text);
    expect([code, stdout]).toEqual([2, ""]);
    expect(stderr).toContain("bad-brief");
    expect(stderr).toContain(says);
    // One sentence, and where it can be known the line to write instead.
    const [sentence, ...below] = stderr.trimEnd().split("\n");
    expect(sentence).toContain("[bad-brief]");
    for (const line of below) expect(line).toMatch(/^Write: /);
    expect(below.length).toBeLessThan(2);
  });
});

describe("tonefall read", () => {
  test("gives exposure records without fall or verdict", async () => {
    const { code, stdout } = await runTonefall(
      ["read", "a shoot/första/IMG_9.jpg", "--format", "json"],
      { cwd: folder },
    );
    const { schemaVersion, frames } = JSON.parse(stdout);
    expect(schemaVersion).toBe(1);
    expect(frames[0]).toMatchObject({
      file: "a shoot/första/IMG_9.jpg",
      format: "jpeg",
      exposure: { shutter: { value: 1 / 125, exact: 1 / 128 }, flashFired: { value: false } },
      failure: null,
    });
    expect(frames[0]).not.toHaveProperty("fall");
    expect(frames[0]).not.toHaveProperty("verdict");
    expect(code).toBe(0);
  });

  test.each(["table", "csv", "markdown", "ndjson"])("as %s", async (format) => {
    const { code, stdout } = await runTonefall(["read", "a shoot", "-f", format], { cwd: folder });
    expect(code).toBe(3);
    expect(stdout).toContain("spot");
    expect(stdout).not.toMatch(/undefined|NaN/);
  });
});

describe("tonefall tones", () => {
  test("shows the chart", async () => {
    const { code, stdout } = await runTonefall(["tones"]);
    expect(code).toBe(0);
    expect(stdout).toMatch(/^tar\s+-2 to -1\.5/m);
    for (const line of stdout.split("\n")) expect([...line].length, line).toBeLessThanOrEqual(80);
  });

  test("gives sources as json", async () => {
    const { tones } = JSON.parse((await runTonefall(["tones", "-f", "json"])).stdout);
    expect(tones.find(({ name }: { name: string }) => name === "tar").source).toBe(
      "common practice",
    );
    expect(tones.find(({ name }: { name: string }) => name === "snow").source).not.toBe(
      "common practice",
    );
  });
});

describe("help", () => {
  test.each([[], ["grade"], ["read"], ["tones"]])(
    "tonefall %s --help has examples and fits 80 columns",
    async (...command) => {
      const { code, stdout } = await runTonefall([...command.flat(), "--help"]);
      expect(code).toBe(0);
      expect(stdout).toContain("tonefall");
      for (const line of stdout.split("\n")) expect([...line].length, line).toBeLessThanOrEqual(80);
      if (command.flat().length > 0) expect(stdout).toContain("Examples:");
    },
  );

  test("an unknown command is a usage error", async () => {
    const { code, stderr } = await runTonefall(["grad"]);
    expect(code).toBe(2);
    expect(stderr).toContain("grade");
  });
});
