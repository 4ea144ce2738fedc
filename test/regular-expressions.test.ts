import { readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { checkSync } from "recheck";
import ts from "typescript";
import { expect, test } from "vitest";

const ROOT = resolve(import.meta.dirname, "..");
const FOLDERS = ["tone-core/src", "exif-reader/src", "grader/src"];

// The checker's other engines are programs of one platform each.
process.env["RECHECK_BACKEND"] = "pure";

/** Every regular expression written in the sources, each once, with a file that holds it. */
function expressions(): Map<string, string> {
  const found = new Map<string, string>();
  for (const folder of FOLDERS.map((name) => join(ROOT, "packages", name))) {
    const names = readdirSync(folder, { recursive: true, encoding: "utf8" });
    for (const name of names.filter((name) => /(?<!\.test|\.test-d)\.(?:ts|mjs)$/.test(name))) {
      const source = ts.createSourceFile(
        name,
        readFileSync(join(folder, name), "utf8"),
        ts.ScriptTarget.Latest,
      );
      const walk = (node: ts.Node): void => {
        if (ts.isRegularExpressionLiteral(node)) found.set(node.text, name);
        ts.forEachChild(node, walk);
      };
      walk(source);
    }
  }
  return found;
}

/** What may repeat without end, wherever it stands: without it, the work at each place of a text has a bound. */
const REPEATS = /[*+]|\{\d+,\}/;

test("no text keeps a regular expression of ours busy: each takes time in proportion to it", () => {
  const all = expressions();
  expect(all.size).toBeGreaterThan(50);
  const slow = [...all].flatMap(([expression, file]) => {
    if (!REPEATS.test(expression)) return [];
    const end = expression.lastIndexOf("/");
    const result = checkSync(expression.slice(1, end), expression.slice(end + 1), {
      timeout: 300_000,
      randomSeed: 1,
    });
    return result.status === "safe" ? [] : [{ file, expression, status: result.status }];
  });
  expect(slow).toEqual([]);
}, 900_000);

test("the checker finds an expression that is not safe", () => {
  expect(checkSync("^(a+)+$", "").status).toBe("vulnerable");
});
