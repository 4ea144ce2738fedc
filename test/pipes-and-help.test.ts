import { execFileSync } from "node:child_process";
import { once } from "node:events";
import { readFile, rm, symlink, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import type { FrameResult } from "@tonefall/grader";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { flat, newFolder } from "./pictures.ts";
import { runTonefall as tonefall } from "./runTonefall.ts";

let folder = "";

beforeAll(async () => {
  folder = await newFolder();
  await flat(118).jpeg().toFile(join(folder, "a.jpg"));
  await flat(200).jpeg().toFile(join(folder, "line\nbreak.jpg"));
});
afterAll(() => rm(folder, { recursive: true }));

/** Runs the command in the folder with a text or bytes on its standard input. */
const piped = (input: string | Buffer, ...args: string[]): ReturnType<typeof tonefall> =>
  tonefall(args, { cwd: folder, meanwhile: (child) => child.stdin?.end(input) });
const run = (...args: string[]): ReturnType<typeof tonefall> => piped("", ...args);
const filesOf = (json: string): string[] =>
  JSON.parse(json).frames.map(({ file }: { file: string }) => file);

describe("pictures from a pipe", () => {
  test.each(["grade", "meter", "read"])("%s takes lists by line and by NUL", async (command) => {
    const args = [command, "-f", "json", "--files-from", "-"];
    expect(filesOf((await piped("a.jpg\n", ...args)).stdout)).toEqual(["a.jpg"]);
    const two = await piped("line\nbreak.jpg\0a.jpg\0", ...args);
    expect([two.code, filesOf(two.stdout)]).toEqual([0, ["line\nbreak.jpg", "a.jpg"]]);
  });

  test.each(["grade", "meter", "read"])("%s takes a picture as -", async (command) => {
    const bytes = await readFile(join(folder, "a.jpg"));
    const { code, stdout } = await piped(bytes, command, "-", "-f", "json");
    expect([code, filesOf(stdout)]).toEqual([0, ["(standard input)"]]);
    const [row] = JSON.parse(stdout).frames;
    const [named] = JSON.parse((await run(command, "a.jpg", "-f", "json")).stdout).frames;
    expect({ ...row, file: "a.jpg" }).toEqual(named);
  });

  test("a list from a file, an empty list, no list, and two readers of one pipe", async () => {
    await writeFile(join(folder, "list.txt"), "a.jpg\r\n");
    expect((await run("grade", "--files-from", "list.txt")).code).toBe(0);
    const empty = await piped("\n", "grade", "--files-from", "-");
    expect([empty.code, empty.stderr]).toEqual([2, expect.stringContaining("standard input")]);
    const none = await run("grade");
    expect([none.code, none.stderr]).toEqual([2, expect.stringContaining("--files-from")]);
    const both = await piped("", "grade", "-", "--brief", "-");
    expect([both.code, both.stderr]).toEqual([2, expect.stringContaining("a picture and --brief")]);
  });

  test("a list as Windows saves it", async () => {
    const list = "\ufeffa.jpg\r\n";
    for (const bytes of [Buffer.from(list), Buffer.from(list, "utf16le")]) {
      const { code, stdout } = await piped(bytes, "read", "--files-from", "-", "-f", "json");
      expect([code, filesOf(stdout)]).toEqual([0, ["a.jpg"]]);
    }
    const { code, stderr } = await run("read", "--files-from", "gone.txt");
    expect([code, stderr]).toEqual([2, expect.stringContaining("but there is no such file")]);
  });

  test.skipIf(process.platform === "win32")("what is not there says why", async () => {
    await symlink("gone.jpg", join(folder, "link"));
    const { stdout } = await run("read", "link", "~/a.jpg", "*.JPG", "gone.jpg", "-f", "json");
    const messages = JSON.parse(stdout).frames.map(({ failure }: FrameResult) => failure?.message);
    const said = [
      "The link leads to",
      "The shell left the ~",
      "matches this pattern",
      "no such file",
    ];
    expect(messages).toEqual(said.map((words) => expect.stringContaining(words)));
    const table = await run("read", "gone.jpg");
    expect(table.stdout).not.toContain("recorded");
    expect((await run("grade", "gone.jpg", "link")).stdout).toMatch(/^no frame graded\n/);
  });

  test("a path that is not there is 2 alone and 3 beside another", async () => {
    for (const command of ["grade", "meter", "read"]) {
      expect((await run(command, "gone.jpg")).code).toBe(2);
      expect((await run(command, "gone.jpg", "a.jpg")).code).toBe(3);
    }
  });
});

describe("an option", () => {
  test.each([
    [["--place", "+0,7"], "--place +0.7"],
    [["--place", "half a stop"], "--place 1/2"],
    [["--place", "snow", "--tolerance", "a third of a stop"], "--tolerance 1/3"],
    [["--region", "middle"], "--region spot"],
  ])("%o that cannot be read is shown as it was likely meant", async (options, mended) => {
    const { code, stderr } = await run("grade", "a.jpg", ...options);
    expect([code, stderr.trimEnd().split("\n").at(-1)]).toEqual([2, `Write: ${mended}`]);
  });

  test.each([
    [["new-brief"], "Expected a folder but received none; tonefall new-brief --help"],
    [["kit", "card"], "Expected a path but received none; tonefall kit card --help"],
    [["tones", "snow"], "Received more than the command takes; tonefall tones --help"],
    [
      ["completion", "zhs"],
      "'zhs' is invalid for argument 'shell'. Allowed choices are bash, zsh, fish.",
    ],
  ])("%o without what it takes is refused in plain words", async (words, says) => {
    const { code, stderr } = await run(...words);
    expect([code, stderr]).toEqual([2, expect.stringContaining(`tonefall: ${says}`)]);
  });
});

describe("a brief", () => {
  test("from standard input", async () => {
    const brief = '"*.jpg": { place: -2 }';
    const { code, stdout } = await piped(brief, "grade", "a.jpg", "--brief", "-", "-f", "json");
    expect([code, JSON.parse(stdout).frames[0].placement.from]).toEqual([0, -2]);
  });

  test("that matches no frame is refused, and its curly quotes are pointed out", async () => {
    for (const command of ["grade", "meter"]) {
      const brief = "\u201Ca.jpg\u201D: { place: -2 }";
      const { code, stdout, stderr } = await piped(brief, command, "a.jpg", "--brief", "-");
      expect([code, stdout]).toEqual([2, ""]);
      expect(stderr).toContain("no entry matches the frame a.jpg");
      expect(stderr).toContain('Write: "a.jpg"');
    }
  });

  test("that matches no frame names five of its globs, and shows a backslash as a slash", async () => {
    const globs = ["shoot\\\\*.jpg", "b", "c", "d", "e", "f", "g"].map(
      (glob) => `"${glob}": { place: -2 }`,
    );
    const { code, stderr } = await piped(globs.join("\n"), "grade", "a.jpg", "--brief", "-");
    expect(code).toBe(2);
    expect(stderr).toContain('"e" and 2 more');
    expect(stderr).toContain('Write: "shoot/*.jpg"');
  });

  test.skipIf(process.platform === "win32").each([
    ["SIGINT", 130],
    ["SIGTERM", 143],
  ] as const)("from a pipe that nobody writes to ends by %s", async (signal, code) => {
    const pipe = join(folder, `pipe-${signal}`);
    execFileSync("mkfifo", [pipe]);
    const ended = await tonefall(["grade", "a.jpg", "--brief", pipe], {
      cwd: folder,
      meanwhile: async (child) => {
        await once(child, "spawn");
        await delay(1500);
        child.kill(signal);
      },
    });
    expect([ended.code, ended.stdout]).toEqual([code, ""]);
  });
});

describe("csv", () => {
  test("has columns for people, all columns, or those that are named", async () => {
    const args = ["grade", "a.jpg", "--place", "1", "-f", "csv"];
    const [row] = parse((await run(...args)).stdout, { columns: true }) as Record<string, string>[];
    expect(Object.keys(row ?? {}).join()).toBe(
      "folder,frame,verdict,error,bound,fall,placement,cause,words",
    );
    expect(row).toMatchObject({ folder: ".", frame: "a.jpg", verdict: "under", placement: "1" });
    expect(row?.["error"]).toMatch(/^-\d\.\d\d?$/);
    const all = (await run(...args, "--columns", "all")).stdout;
    expect(all).toMatch(/^file,basis,verdict,/);
    expect(all.split("\r\n")[0]?.split(",")).toHaveLength(28);
    expect((await run(...args, "--columns", "frame,error_stops")).stdout).toMatch(
      /^frame,error_stops\r\na\.jpg,-0\.99\d{2,}/,
    );
    const slip = await run(...args, "--columns", "frame,verdit");
    expect([slip.code, slip.stderr]).toEqual([
      2,
      expect.stringContaining('did you mean "verdict"?'),
    ]);
  });

  test("begins with a byte-order mark on request, and gives way to itself", async () => {
    for (const command of ["grade", "meter", "read"]) {
      const args = [command, "a.jpg", "-f", "csv", "--bom", "-o", `${command}.csv`];
      for (let i = 0; i < 2; i++) expect((await run(...args)).code).toBe(0);
      const bytes = await readFile(join(folder, `${command}.csv`));
      expect([...bytes.subarray(0, 3)]).toEqual([0xef, 0xbb, 0xbf]);
    }
  });
});

test("merge joins different runs, and each row names its own", async () => {
  await run("grade", "a.jpg", "-f", "json", "-o", "week1.json");
  await run("grade", "a.jpg", "--place", "1", "-f", "ndjson", "-o", "week2.ndjson");
  const { code, stdout } = await run("merge", "week1.json", "week2.ndjson", "-f", "json");
  const { frames, summary } = JSON.parse(stdout);
  expect([code, summary.frames]).toEqual([0, 2]);
  expect(frames.map(({ run }: { run: string }) => run)).toEqual(["week1.json", "week2.ndjson"]);
  expect((await run("merge", "week1.json", "week2.ndjson", "-f", "csv")).stdout).toMatch(
    /^run,folder,frame,/,
  );
  const twice = await run("merge", "week1.json", "week1.json");
  expect([twice.code, twice.stderr]).toEqual([2, expect.stringContaining("the same rows")]);
});

describe("help", () => {
  const COMMANDS = [
    ...["grade", "meter", "read", "tones", "kit", "check", "merge", "new-brief", "new-set"],
    ...["class", "handout", "expose", "cache", "completion"],
  ];
  const SUBCOMMANDS = ["class new", "class check", "class mark", "class progress"];

  test("without a command: three examples and the commands", async () => {
    const { code, stdout, stderr } = await run();
    expect([code, stderr]).toEqual([0, ""]);
    expect(stdout.match(/^ {2}tonefall grade/gm)).toHaveLength(3);
    for (const command of COMMANDS) expect(stdout).toMatch(new RegExp(`^ {2}${command} `, "m"));
  });

  test.each([...COMMANDS, ...SUBCOMMANDS])("%s --help fits one screen", async (command) => {
    const { code, stdout } = await run(...command.split(" "), "--help");
    const lines = stdout.trimEnd().split("\n");
    expect([code, lines.length <= 40]).toEqual([0, true]);
    for (const line of lines) expect(line.length, line).toBeLessThanOrEqual(80);
  });

  test("grade --help names the options that --help-all describes", async () => {
    const [short, whole] = [await run("grade", "--help"), await run("grade", "--help-all")];
    expect(whole.code).toBe(0);
    const options = [...whole.stdout.matchAll(/^ {2}(?:-\w, )?(--[\w-]+)/gm)].map(
      ([, name]) => name,
    );
    expect(options.length).toBeGreaterThan(25);
    for (const option of options) if (option !== "--help") expect(short.stdout).toContain(option);
    const headings = ["Needed most", "Subject", "Measuring", "Output", "Long runs", "Limits"];
    const places = headings.map((heading) => whole.stdout.indexOf(`\n${heading}:\n`));
    expect(places.every((place, i) => place > (places[i - 1] ?? 0))).toBe(true);
  });

  test("a mistyped command or option suggests the nearest", async () => {
    expect((await run("grdae")).stderr).toContain("Did you mean grade?");
    expect((await run("grade", "a.jpg", "--resme", "x")).stderr).toContain(
      "Did you mean --resume?",
    );
  });
});

describe("completion", () => {
  const complete = async (...words: string[]): Promise<string[]> => {
    const script = (await run("completion", "bash")).stdout;
    const set = `COMP_WORDS=(${words.map((word) => `'${word}'`).join(" ")}); COMP_CWORD=${words.length - 1}`;
    const all = `${script}\n${set}\n_tonefall\nprintf '%s\\n' "\${COMPREPLY[@]}"`;
    return execFileSync("bash", ["-c", all], { cwd: folder, encoding: "utf8" }).split("\n");
  };

  test.skipIf(process.platform === "win32")(
    "bash completes commands, options, tones and files",
    async () => {
      expect(await complete("tonefall", "gr")).toContain("grade");
      expect(await complete("tonefall", "grade", "--vo")).toContain("--voice");
      expect(await complete("tonefall", "grade", "--place", "sn")).toContain("snow");
      expect(await complete("tonefall", "kit", "br")).toContain("bracket");
      expect(await complete("tonefall", "grade", "a.")).toContain("a.jpg");
    },
  );

  test("zsh and fish know the same words", async () => {
    for (const shell of ["zsh", "fish"]) {
      const { stdout } = await run("completion", shell);
      for (const word of ["grade", "bracket", "snow", "files-from"]) expect(stdout).toContain(word);
    }
  });
});
