import {
  copyFile,
  link,
  mkdir,
  mkdtemp,
  readdir,
  readFile,
  rm,
  symlink,
  writeFile,
} from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { openJournal, pageReport, writePlace } from "@tonefall/grader";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { flat, METERED_EXIF } from "./pictures.ts";
import { runHere } from "./runHere.ts";
import type { Run } from "./runTonefall.ts";

/** Some write a report. */
const SLOW = { timeout: 120_000 };

const FILES = {
  "brief.yaml": '"**": { place: 0 }\n',
  "set.yaml": 'set: "One"\nframes:\n  a:\n    file: "a.jpg"\n    claims:\n      - unclipped: {}\n',
  "class.yaml":
    'class: Autumn\nstudents: [a]\nhand-ins: "{student}*"\nexercises: { one: { tasks: { t: { place: 0 } } } }\n',
  "kit.yaml":
    "schemaVersion: 1\ncamera: { make: null, model: null }\nstyle: {}\niso: null\nmiddleGrey: null\ncurve: null\nuncertainty: null\nmeasured: { how: [card], frames: 1, on: null }\n",
  "notes.txt": "my notes\nof the day\n",
  "a.xmp": '<x:xmpmeta xmlns:x="adobe:ns:meta/"></x:xmpmeta>\n',
} as const;

let folder = "";
const run = (...args: string[]): Promise<Run> =>
  runHere(args, { cwd: folder, env: { TONEFALL_CACHE: "" } });
const bytes = (name: string): Promise<Buffer> => readFile(join(folder, name));

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), "tonefall over "));
  for (const [name, text] of Object.entries(FILES)) await writeFile(join(folder, name), text);
  await flat(118).withExif(METERED_EXIF).jpeg().toFile(join(folder, "a.jpg"));
  await flat(60).jpeg().toFile(join(folder, "other.jpg"));
  // A DNG as far as its first directory tells: enough to be known, and no more is read of it.
  await writeFile(join(folder, "raw.dng"), rawHead());
  await symlink("a.jpg", join(folder, "linked.jpg"));
  await link(join(folder, "a.jpg"), join(folder, "hard.json"));
  await link(join(folder, "brief.yaml"), join(folder, "hard.yaml"));
  await mkdir(join(folder, "sub"));
});
afterEach(() => rm(folder, { recursive: true }));

/** A TIFF whose first directory holds DNGVersion. */
function rawHead(): Buffer {
  const head = Buffer.alloc(26);
  head.write("II*\0", "latin1");
  head.writeUInt32LE(8, 4);
  head.writeUInt16LE(1, 8);
  head.writeUInt16LE(0xc612, 10);
  head.writeUInt16LE(1, 12);
  head.writeUInt32LE(4, 14);
  head.set([1, 4, 0, 0], 18);
  return head;
}

/** All files of the folder with their bytes, links followed. */
async function everything(): Promise<Map<string, string>> {
  const names = (await readdir(folder, { withFileTypes: true }))
    .filter((entry) => !entry.isDirectory())
    .map(({ name }) => name)
    .sort();
  return new Map(
    await Promise.all(
      names.map(async (name) => [name, (await bytes(name)).toString("base64")] as const),
    ),
  );
}

async function refuses(says: string, ...args: string[]): Promise<void> {
  const before = await everything();
  const { code, stdout, stderr } = await run(...args);
  expect([code, stdout, stderr], args.join(" ")).toEqual([
    2,
    "",
    expect.stringMatching(/^tonefall: Expected a file to write for [^\n]*\[would-overwrite\]\n$/),
  ]);
  expect(stderr).toContain(says);
  expect(await everything()).toEqual(before);
}

describe("a picture is never written over, even with --force", SLOW, () => {
  test.each([
    ["the graded picture", "a.jpg"],
    ["a symbolic link to it", "linked.jpg"],
    ["a hard link to it", "hard.json"],
    ["another spelling of its path", "./sub/../a.jpg"],
    ["a picture that is not graded", "other.jpg"],
    ["a raw file", "raw.dng"],
  ])("%s", async (_, target) => {
    const says = target === "raw.dng" ? "is a raw file (DNG)" : "is a picture (JPEG)";
    await refuses(says, "grade", "a.jpg", "-f", "json", "-o", target);
    await refuses(says, "grade", "a.jpg", "-f", "json", "-o", target, "--force");
  });

  test("whichever command and option writes", async () => {
    for (const command of [
      ["grade", "a.jpg", "--report", "a.jpg"],
      ["grade", "a.jpg", "--resume", "other.jpg"],
      ["read", "a.jpg", "-o", "a.jpg"],
      ["meter", "a.jpg", "-o", "a.jpg"],
      ["tones", "-o", "a.jpg"],
      ["check", "set.yaml", "-o", "a.jpg"],
      ["check", "set.yaml", "--report", "a.jpg"],
      ["new-set", ".", "-o", "a.jpg"],
      ["class", "mark", "class.yaml", "-o", "a.jpg"],
      ["kit", "card", "a.jpg", "-f", "yaml", "-o", "a.jpg"],
      ["kit", "bracket", ".", "-o", "other.jpg"],
      ["kit", "pairs", ".", "-o", "other.jpg"],
    ]) {
      await refuses("is a picture (JPEG)", ...command, "--force");
    }
    for (const [part, command] of [
      ["part.ndjson", ["grade", "a.jpg", "-f", "ndjson"]],
      ["part.json", ["check", "set.yaml", "-f", "json"]],
    ] as const) {
      await run(...command, "--shard", "1/1", "-o", part);
      await refuses("is a picture (JPEG)", "merge", part, "-o", "a.jpg", "--force");
      await refuses("that this run reads", "merge", part, "-f", part.slice(5), "-o", part);
    }
  });

  test("one that is damaged stays by its name, and so does what is no text at all", async () => {
    await writeFile(join(folder, "torn.jpg"), "no picture");
    await writeFile(join(folder, "archive"), Buffer.from([80, 75, 3, 4, 0, 0, 200]));
    await refuses("named as a picture", "tones", "-o", "torn.jpg", "--force");
    await refuses("other than text", "tones", "-o", "archive", "--force");
  });
});

describe("what people ask for or say never gives way", SLOW, () => {
  test.each([
    ["brief.yaml", "is a brief file already"],
    ["set.yaml", "is a set file already"],
    ["class.yaml", "is a class file already"],
    ["a.xmp", "is a picture's sidecar already"],
  ])("%s", async (name, says) => {
    await refuses(says, "tones", "-o", name, "--force");
    await refuses(says, "grade", "other.jpg", "--report", name, "--force");
    await refuses("or delete it first", "tones", "-f", "json", "-o", name);
  });
});

describe("other text gives way only to --force", SLOW, () => {
  test.each([
    ["kit.yaml", "is a kit file already"],
    ["notes.txt", "is a text already"],
  ])("%s", async (name, says) => {
    await refuses(says, "tones", "-o", name);
    await refuses(says, "tones", "-f", "json", "-o", name);
    await refuses(says, "grade", "other.jpg", "--report", name);
    expect((await run("tones", "-f", "csv", "-o", name, "--force")).code).toBe(0);
    expect((await bytes(name)).toString()).toMatch(/^tone,title/);
  });

  test("an input of the run is named as one, through its links too", async () => {
    const grade = ["grade", "a.jpg", "-f", "json"];
    for (const name of ["brief.yaml", "hard.yaml", "sub/../brief.yaml"]) {
      await refuses(
        "a brief file that this run reads",
        ...grade,
        "--brief",
        "brief.yaml",
        "-o",
        name,
      );
    }
    await refuses(
      "a kit file that this run reads",
      ...grade,
      "--kit",
      "kit.yaml",
      "-o",
      "kit.yaml",
    );
    await refuses("a set file that this run reads", "check", "set.yaml", "-o", "set.yaml");
    await refuses(
      "that this run reads",
      ...grade,
      "--kit",
      "kit.yaml",
      "-o",
      "kit.yaml",
      "--force",
    );
    await refuses(
      "a set file that this run reads",
      ...["check", "set.yaml", "--update-pins", "--report", "set.yaml"],
    );
  });

  test("a set or a brief in JSON is no former result", async () => {
    const set = { set: "One", frames: { a: { file: "a.jpg" } } };
    await writeFile(join(folder, "set.json"), JSON.stringify(set, null, 2));
    await writeFile(join(folder, "brief.json"), '{ "*.jpg": { "place": 0 } }');
    await writeFile(join(folder, "kit.json"), '{ "schemaVersion": 1, "camera": {} }');
    await refuses("set file", "tones", "-f", "json", "-o", "set.json");
    await refuses("brief file", "tones", "-f", "json", "-o", "brief.json");
    await refuses("kit file", "tones", "-f", "json", "-o", "kit.json");
  });

  test("a journal, and a result in another form", async () => {
    await run("grade", "a.jpg", "--resume", "run.journal", "-o", "result.txt");
    await refuses("is a journal already", "grade", "a.jpg", "-o", "run.journal");
    await refuses("a result as table already", "grade", "a.jpg", "-f", "json", "-o", "result.txt");
  });

  test("two outputs of one run are two files, whatever --force says", async () => {
    const two = ["grade", "a.jpg", "-f", "json", "-o", "x", "--resume", "./x"];
    await refuses("another option of this run", ...two);
    await refuses("another option of this run", ...two, "--force");
  });

  test("pages of a report in the folder beside it give way, and nothing else of that name", async () => {
    await mkdir(join(folder, "week-frames"));
    await copyFile(join(folder, "a.jpg"), join(folder, "week-frames", "002.html"));
    await refuses("is a picture", "grade", "a.jpg", "--report", "week.html");
    expect(await bytes("week-frames/002.html")).toEqual(await bytes("a.jpg"));
  });

  test("--update-pins writes into its set file alone", async () => {
    // Pictures beside the set are missed claims of its own.
    expect((await run("check", "set.yaml", "--update-pins", "-o", "new.txt")).code).toBe(1);
    const text = (await bytes("set.yaml")).toString();
    expect(text.startsWith(FILES["set.yaml"].trimEnd())).toBe(true);
    expect(text).toContain("pins:");
  });
});

describe("what Tonefall wrote gives way to the same again", SLOW, () => {
  const check = ["check", "set.yaml"];
  const shots = ["grade", "a.jpg", "gone.jpg"];
  test.each([
    ...["table", "json", "ndjson", "csv", "markdown"].flatMap((format) => [
      [...shots, "-f", format, "-o", "out"],
      ["meter", "a.jpg", "-f", format, "-o", "out"],
      ["read", ...shots.slice(1), "-f", format, "-o", "out"],
      ["tones", "-f", format, "-o", "out"],
    ]),
    ...["table", "json", "markdown", "junit", "tap", "github", "sarif"].map((format) => [
      ...[...check, "-f", format, "-o", "out"],
    ]),
    [...shots, "-p", "0", "--voice", "student", "-o", "out"],
    ["grade", "a.jpg", "--report", "out"],
    [...check, "--report", "out"],
    ...["table", "json", "yaml", "html"].map((format) => [
      ...["kit", "card", "a.jpg", "-f", format, "-o", "out"],
    ]),
    ["kit", "card", "a.jpg", "--kit", "measured.yaml", "-f", "yaml", "-o", "measured.yaml"],
    ["grade", "a.jpg", "--resume", "out"],
    ...["table", "json", "ndjson"].map((format) => [
      ...["class", "mark", "class.yaml", "-f", format, "-o", "out"],
    ]),
  ])("%s %s %s %s %s %s %s", async (...args) => {
    if (args.includes("measured.yaml")) {
      await run("kit", "card", "a.jpg", "-f", "yaml", "-o", "measured.yaml");
    }
    const written = await run(...args);
    expect(written.stderr).not.toContain("would-overwrite");
    const again = await run(...args);
    expect([again.code, again.stderr.includes("would-overwrite")]).toEqual([written.code, false]);
  });

  test("an empty file may be written, and a device", async () => {
    await writeFile(join(folder, "empty"), "");
    expect((await run("tones", "-o", "empty")).code).toBe(0);
    expect((await run("tones", "-o", "/dev/null")).code).toBe(0);
    const report = await run("grade", "a.jpg", "--report", "/dev/null");
    expect([report.code, report.stderr]).toEqual([2, expect.stringContaining("[bad-option]")]);
  });
});

describe("as a library", () => {
  test("a picture that comes to the place while a result is made stays", async () => {
    const place = writePlace({ path: join(folder, "new.csv"), kind: "csv" });
    place.requireFree();
    await copyFile(join(folder, "a.jpg"), join(folder, "new.csv"));
    expect(() => place.requireFree()).toThrow(expect.objectContaining({ code: "would-overwrite" }));
  });

  test("a report refuses its own frames, and a journal any picture", async () => {
    const own = join(folder, "a.jpg");
    const report = pageReport(own, [own]);
    await expect(report).rejects.toMatchObject({ code: "would-overwrite" });
    const run = { brief: {}, options: {} };
    await expect(openJournal(own, run)).rejects.toMatchObject({ code: "bad-journal" });
  });
});

/** Functions of Node's that make or change a file. */
const WRITERS =
  /\b(?:appendFile|copyFile|cp|createWriteStream|link|rename|symlink|truncate|write|writeFile)(?:Sync)?\b/;

test("nothing in the sources writes a file but what asks for its place", async () => {
  const sources = join(import.meta.dirname, "../packages");
  const names = await readdir(sources, { recursive: true });
  const writers: string[] = [];
  for (const name of names.filter((name) => /^[\w-]+\/src\/.*(?<!\.test)\.m?ts$/.test(name))) {
    const text = await readFile(join(sources, name), "utf8");
    const imports = text.matchAll(/import \{([^}]*)\} from "node:fs(?:\/promises)?"/g);
    if ([...imports].some(([, functions = ""]) => WRITERS.test(functions))) writers.push(name);
  }
  expect(writers.sort()).toEqual([
    // A journal, and the list of last runs, read what is there before they add to it.
    "grader/src/output/page/reportFile.ts",
    "grader/src/run/memory/journal.ts",
    "grader/src/run/memory/lastRuns.ts",
    "grader/src/run/memory/rowCache.ts",
    "grader/src/run/write/writeWhole.ts",
  ]);
});
