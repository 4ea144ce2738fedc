import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { build } from "esbuild";
import { afterAll, expect, test } from "vitest";
import { sourceStack } from "./sourceStack.ts";

const folder = mkdtempSync(join(tmpdir(), "tonefall stack "));
afterAll(() => rmSync(folder, { recursive: true }));
const urlOf = (name: string): string => pathToFileURL(join(folder, name)).href;

test("sourceStack(stack) names the line of the source, and leaves what has no map as it is", async () => {
  const source = '\n\nexport function broken() {\n  throw new Error("x");\n}\n';
  writeFileSync(join(folder, "source.ts"), source);
  await build({
    absWorkingDir: folder,
    entryPoints: ["source.ts"],
    outfile: "bundle.js",
    format: "esm",
    minify: true,
    sourcemap: true,
  });
  // In a process of its own, because the test runner maps stacks itself.
  const script = `import { broken } from "${urlOf("bundle.js")}"; try { broken(); } catch (error) { console.log(error.stack); }`;
  const stack = execFileSync(process.execPath, ["--input-type=module", "-e", script], {
    encoding: "utf8",
  });
  expect(stack).toContain(`${urlOf("bundle.js")}:1:`);
  expect(sourceStack(stack)).toContain(`${urlOf("source.ts")}:4:`);
  expect(sourceStack(stack)).not.toContain("bundle.js");
  expect(sourceStack("at x (file:///nowhere.js:1:2)")).toBe("at x (file:///nowhere.js:1:2)");
});
