import { existsSync } from "node:fs";
import { readdir, readFile } from "node:fs/promises";
import { dirname, join, resolve } from "node:path";
import { describe, expect, test } from "vitest";
import { runHere } from "./runHere.ts";

const ROOT = resolve(import.meta.dirname, "..");
const DOCS = "packages/grader/docs";
const SRC = "packages/grader/src";

const textOf = (path: string): Promise<string> => readFile(join(ROOT, path), "utf8");

/** The pages that people read: the README of each part, and the docs. */
async function pages(): Promise<readonly string[]> {
  const docs = (await readdir(join(ROOT, DOCS))).filter((name) => name.endsWith(".md"));
  const packages = ["tone-core", "exif-reader", "grader"].flatMap((name) => [
    `packages/${name}/README.md`,
    `packages/${name}/SOURCES.md`,
  ]);
  return ["README.md", "DEVELOPERS.md", "samples/README.md", ...packages].concat(
    docs.map((name) => `${DOCS}/${name}`),
  );
}

/** What stands within backquotes. */
function quoted(text: string): readonly string[] {
  return [...text.matchAll(/`([^`\n]+)`/g)].map(([, code]) => code as string);
}

/** The strings of a closed union, or of a list, from its name to the semicolon. */
function members(source: string, name: string): readonly string[] {
  const start = source.indexOf(name);
  if (start < 0) throw new Error(`${name} is not declared`);
  const declared = source.slice(start, source.indexOf(";", start)).replaceAll(/\/[/*].*$/gm, "");
  return [...declared.matchAll(/"([\w-]+)"/g)].map(([, member]) => member as string);
}

describe("every code of a closed union is explained", () => {
  test.each([
    ["codes.md", `${SRC}/model/note.ts`, "export type NoteCode"],
    ["codes.md", `${SRC}/model/note.ts`, "export type ShareNoteCode"],
    ["codes.md", `${SRC}/model/errors.ts`, "export type GraderErrorCode"],
    ["codes.md", `${SRC}/model/cause.ts`, "export type FactCode"],
    ["codes.md", `${SRC}/model/cause.ts`, "export type SizedFactCode"],
    ["causes.md", `${SRC}/model/cause.ts`, "export type CauseCode"],
    ["class.md", `${SRC}/model/markedClass.ts`, "export const FLAG_CODES"],
    ["codes.md", "packages/exif-reader/src/exposureRecord.ts", "export type ExifNoteCode"],
    ["codes.md", "packages/exif-reader/src/fieldAbsence.ts", "export type FieldAbsence"],
    [
      "codes.md",
      "packages/exif-reader/src/second/compareReadings.ts",
      "export type DisagreementCode",
    ],
    ["codes.md", "packages/exif-reader/src/errors.ts", "export type ExifErrorCode"],
    ["codes.md", "packages/tone-core/src/errors.ts", "export type ToneErrorCode"],
  ])("in %s, of %s: %s", async (page, file, union) => {
    const codes = members(await textOf(file), union);
    expect(codes.length).toBeGreaterThan(3);
    const explained = new Set(quoted(await textOf(`${DOCS}/${page}`)));
    expect(codes.filter((code) => !explained.has(code))).toEqual([]);
  });

  test("in codes.md, of what a check finds", async () => {
    const files = (await readdir(join(ROOT, SRC, "sets"))).filter(
      (name) => name.endsWith(".ts") && !name.endsWith(".test.ts"),
    );
    const sources = await Promise.all(files.map((name) => textOf(`${SRC}/sets/${name}`)));
    const codes = sources.flatMap((source) =>
      [...source.matchAll(/\bcode: ([^,}\n]+)/g)].flatMap(([, value]) =>
        [...(value as string).matchAll(/(?<!=== )"([a-z-]+)"/g)].map(([, code]) => code as string),
      ),
    );
    expect(codes.length).toBeGreaterThan(30);
    const explained = new Set(quoted(await textOf(`${DOCS}/codes.md`)));
    expect(codes.filter((code) => !explained.has(code))).toEqual([]);
  });
});

test("codes.md explains no code that the sources do not have", async () => {
  const rows = (await textOf(`${DOCS}/codes.md`)).match(/^\| `[^|]*/gm) ?? [];
  const sources = await Promise.all(
    [SRC, "packages/exif-reader/src"].map(async (folder) => {
      const names = await readdir(join(ROOT, folder), { recursive: true });
      const code = names.filter((name) => /(?<!\.test)\.(?:ts|mjs)$/.test(name));
      return (await Promise.all(code.map((name) => textOf(join(folder, name))))).join("\n");
    }),
  );
  const known = new Set(
    [...sources.join("\n").matchAll(/"([a-z-]+)"|^ {2}([a-z]+):/gm)].map(([, a, b]) => a ?? b),
  );
  const explained = rows.flatMap(quoted);
  expect(explained.length).toBeGreaterThan(100);
  expect(explained.filter((code) => !known.has(code))).toEqual([]);
});

/** A heading as links name it. */
function anchorOf(heading: string): string {
  const kept = heading.toLowerCase().replaceAll(/[^\p{L}\p{N} _-]/gu, "");
  return kept.trim().replaceAll(" ", "-");
}

test("every link of the pages leads to a file of the repository, and to a heading that it has", async () => {
  const dead: string[] = [];
  let links = 0;
  for (const page of await pages()) {
    const text = (await textOf(page)).replaceAll(/```[\s\S]*?```/g, "");
    for (const [, link = ""] of text.matchAll(/\]\(([^)\s]+)\)/g)) {
      links++;
      const [path = "", anchor] = link.split("#");
      const target = path === "" ? page : join(dirname(page), path);
      if (!existsSync(join(ROOT, target))) dead.push(`${page}: ${link}`);
      else if (anchor !== undefined) {
        const headings = (await textOf(target)).matchAll(/^#+ (.*)$/gm);
        const anchors = [...headings].map(([, heading]) => anchorOf(heading as string));
        if (!anchors.includes(anchor)) dead.push(`${page}: ${link}`);
      }
    }
  }
  expect(links).toBeGreaterThan(80);
  expect(dead).toEqual([]);
});

const COMMANDS = [
  ...["grade", "meter", "read", "tones", "check", "merge", "kit card", "kit bracket", "kit pairs"],
  ...["new-brief", "new-set", "class new", "class check", "class mark", "class progress"],
  ...["handout", "expose", "cache", "completion"],
];

test("the list of commands is whole", async () => {
  const { stdout } = await runHere(["--help"]);
  const named = [...stdout.matchAll(/^ {2}([a-z-]+) {2,}\w/gm)].map(([, command]) => command);
  expect(named.length).toBeGreaterThan(10);
  const firsts = new Set(COMMANDS.map((command) => command.split(" ")[0]));
  expect(named.filter((command) => !firsts.has(command) && command !== "help")).toEqual([]);
});

/** Options of `npm run` scripts and of other programs, which docs name too. */
const OF_OTHERS = new Set(
  [
    ...["--write", "--derive", "--frames", "--phone", "--speed", "--short", "--list", "--only"],
    ...["--seed", "--mutate", "--cached", "--name-only", "--no-install"],
  ].concat("--version"),
);

/** The options of every command, as its whole help describes them. */
async function options(): Promise<ReadonlySet<string>> {
  const known = new Set<string>();
  for (const command of COMMANDS) {
    const whole = await runHere([...command.split(" "), "--help-all"]);
    const { stdout } = whole.code === 0 ? whole : await runHere([...command.split(" "), "--help"]);
    for (const [, option = ""] of stdout.matchAll(/^ {2,}(?:-\w, )?(--[a-z-]+)/gm)) {
      known.add(option);
    }
  }
  return known;
}

test("the pages name every option that a command has, and none that it has not", async () => {
  const known = await options();
  expect(known.size).toBeGreaterThan(50);
  const named = new Set<string>();
  for (const page of await pages()) {
    // Names of colours and sizes begin with two hyphens as well.
    if (page.endsWith("look.md") || page.endsWith("SOURCES.md")) continue;
    for (const [option] of (await textOf(page)).matchAll(/(?<![\w-])--[a-z][a-z-]*[a-z]/g)) {
      named.add(option);
    }
  }
  expect([...known].filter((option) => !named.has(option))).toEqual([]);
  expect([...named].filter((option) => !known.has(option) && !OF_OTHERS.has(option))).toEqual([]);
});
