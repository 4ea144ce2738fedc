import { readFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import { expect, test } from "vitest";
import { runTonefall } from "./runTonefall.ts";

const ROOT = resolve(import.meta.dirname, "..");

/** What stands for lines that are left out. */
const ELISION = "...";

/** The blocks of a Markdown text that show output: fenced, without a language. */
function shownOutputs(text: string): string[][] {
  return [...text.matchAll(/^```(\w*)\n([\s\S]*?)\n```$/gm)].flatMap(([, language, block]) =>
    language === "" ? [(block as string).split("\n")] : [],
  );
}

/** Expects the lines of a block in a command's output, in their order. */
function expectShown(block: readonly string[] | undefined, printed: readonly string[]): void {
  const lines = (block ?? []).filter((line) => line !== ELISION);
  expect(lines.length).toBeGreaterThan(8);
  let at = 0;
  for (const line of lines) {
    const found = printed.indexOf(line, at);
    expect(found, `"${line}" is not printed after line ${at}`).toBeGreaterThanOrEqual(at);
    at = found + 1;
  }
}

async function shownBlocks(): Promise<string[][]> {
  return shownOutputs(await readFile(join(ROOT, "README.md"), "utf8"));
}

test("README shows what npm run demo prints, line by line and in its order", async () => {
  const { scripts } = JSON.parse(await readFile(join(ROOT, "package.json"), "utf8"));
  const args = /tonefall -- (grade [^&]*)$/.exec(scripts.demo)?.[1]?.trim().split(/\s+/) ?? [];
  expect(args[0]).toBe("grade");
  const { stdout } = await runTonefall(args, { cwd: ROOT });
  expectShown((await shownBlocks())[0], stdout.split("\n"));
});

test("README shows what marking the sample class prints, line by line and in its order", async () => {
  const text = await readFile(join(ROOT, "README.md"), "utf8");
  const args = /`tonefall (class mark samples\/class[^`]*)`/.exec(text)?.[1]?.split(" ") ?? [];
  const { code, stdout } = await runTonefall([...args, "--no-record"], { cwd: ROOT });
  expect(code).toBe(0);
  expectShown((await shownBlocks())[1], stdout.split("\n"));
});
