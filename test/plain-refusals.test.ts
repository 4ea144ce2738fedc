import { mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { flat, newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";

let cwd = "";

beforeAll(async () => {
  cwd = await newFolder();
  await flat(118).jpeg().toFile(join(cwd, "a.jpg"));
  await mkdir(join(cwd, "closed"));
  await writeFile(join(cwd, "text.txt"), "words\n");
  await writeFile(join(cwd, "set.yaml"), "set: Bare\nframes:\n  a: { file: a.jpg, claims: [] }\n");
});
afterAll(() => rm(cwd, { recursive: true }));

const run = (...args: string[]): ReturnType<typeof runHere> => runHere(args, { cwd });

describe("what is no result, given to merge, is named with what to give instead", () => {
  test.each([
    ["a picture", "a.jpg", ["it is a picture (JPEG)", "grade or check wrote with -f json"]],
    ["a text", "text.txt", ["it is a text", "grade or check wrote with -f json"]],
    ["a set file", "set.yaml", ["it is a set file", "grade or check wrote with -f json"]],
    ["nothing", "gone.json", ["there is no such file"]],
    ["a folder", "closed", ["it is a folder"]],
  ])("%s", async (_, path, says) => {
    const { code, stderr } = await run("merge", path);
    expect(code).toBe(2);
    for (const words of says) expect(stderr).toContain(words);
    expect(stderr).not.toMatch(/Unexpected|JSON at|ENOENT/);
  });

  test.each([
    ['{"a":1}', "it holds neither"],
    ["[]", "grade or check wrote"],
    ['{"schemaVersion":999,"sets":[]}', "it has schema version 999"],
    ['{"schemaVersion":1,"sets":[{', "cut off or damaged; run its command again"],
  ])("%s", async (text, says) => {
    await writeFile(join(cwd, "other.json"), text);
    const { code, stderr } = await run("merge", "other.json");
    expect([code, stderr]).toEqual([2, expect.stringContaining(says)]);
  });

  test("a picture after rows, and rows after a check", async () => {
    await run("grade", "a.jpg", "-f", "json", "-o", "rows.json", "--force");
    await run("check", "set.yaml", "-f", "json", "-o", "check.json", "--force");
    const picture = await run("merge", "rows.json", "a.jpg");
    expect([picture.code, picture.stderr]).toEqual([2, expect.stringContaining("it is a picture")]);
    const mixed = await run("merge", "check.json", "rows.json");
    expect([mixed.code, mixed.stderr]).toEqual([2, expect.stringContaining("merge them apart")]);
  });
});

describe("a place that cannot be written is refused with the reason, before any work", () => {
  test.each([
    ["nowhere/page.html", "there is no folder nowhere; make it first (ENOENT)"],
    ["text.txt/page.html", "text.txt is not a folder (ENOTDIR)"],
  ])("%s", async (page, why) => {
    for (const command of [
      ["grade", "a.jpg"],
      ["check", "set.yaml"],
    ]) {
      const { code, stdout, stderr } = await run(...command, "--report", page);
      expect([code, stdout]).toEqual([2, ""]);
      expect(stderr.replaceAll("\\", "/")).toContain(
        `for --report but ${page} cannot be written because ${why}`,
      );
    }
    expect(await readFile(join(cwd, "text.txt"), "utf8")).toBe("words\n");
  });
});

test("mistakes in options begin with the command's name, and say what is accepted", async () => {
  const unknown = await run("grade", "a.jpg", "--reprot", "x.html");
  expect([unknown.code, unknown.stderr]).toEqual([
    2,
    "tonefall: unknown option '--reprot'\n(Did you mean --report?)\n",
  ]);
  const choice = await run("tones", "-f", "frob");
  expect(choice.stderr).toMatch(/^tonefall: option '-f, --format <format>' argument 'frob'/);
});

test("a limit, a tolerance and a set without claims say what to do", async () => {
  const large = await run("grade", "a.jpg", "--max-megapixels", "0.0001");
  expect(large.stdout.replace(/\s+/g, " ")).toContain("raise the limit with --max-megapixels");
  const wide = await run("grade", "a.jpg", "-p", "0", "--tolerance", "1/0");
  expect(wide.stderr).toContain(
    'a tolerance above 0 and up to 10 stops, such as 1/3 or 0.5, but received "1/0"',
  );
  const bare = await run("check", "set.yaml");
  expect([bare.code, bare.stderr]).toEqual([
    0,
    expect.stringContaining("set.yaml makes no claim, so nothing was checked"),
  ]);
});
