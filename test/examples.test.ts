import { execFile } from "node:child_process";
import { readdir, readFile, rm } from "node:fs/promises";
import { join, resolve } from "node:path";
import { promisify } from "node:util";
import { gradeFrame } from "@tonefall/grader";
import { errorText } from "@tonefall/grader/browser";
import { build } from "esbuild";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { hasBrowser, openBrowser, withoutBrowser } from "./browser.ts";
import { openedPage } from "./openedPage.ts";
import { newFolder } from "./pictures.ts";

const ROOT = resolve(import.meta.dirname, "..");
const HARBOUR = "samples/harbour";

/** What an example prints. The one for Vitest is run with the tests. */
async function printed(example: string, ...args: string[]): Promise<string> {
  const run = promisify(execFile)(process.execPath, [join("examples", example), ...args], {
    cwd: ROOT,
  });
  return (await run).stdout;
}

test("grade-stream prints a verdict a picture", async () => {
  const frames = ["01-tarred-hull-as-metered.jpg", "02-tarred-hull-corrected.jpg", "gone.jpg"];
  const paths = frames.map((name) => `${HARBOUR}/${name}`);
  const lines = (await printed("grade-stream.mjs", "tar", ...paths)).split("\n");
  expect(lines[0]).toBe(`${paths[0]}: over (1.63)`);
  expect(lines[1]).toBe(`${paths[1]}: within (0.00)`);
  expect(lines[2]).toContain(`${paths[2]}: `);
});

test("meter-patterns prints what each pattern reads", async () => {
  const text = await printed("meter-patterns.mjs", `${HARBOUR}/15-doorway-average.jpg`);
  // The frame was exposed by its average.
  expect(text).toMatch(/^average +-?0\.0\d$/m);
  expect(text).toMatch(/^multi-segment .* an estimate$/m);
});

test("raw-histogram prints every channel of the sensor", async () => {
  const text = await printed("raw-histogram.mjs", `${HARBOUR}/29-slip-and-boathouse.dng`);
  expect(text.match(/^(?:red|green 1|green 2|blue): black 512, white 15872/gm)).toHaveLength(4);
  expect(text.match(/^ +-8 /gm)).toHaveLength(4);
});

describe("the page of examples/browser", () => {
  let bundle = "";
  beforeAll(async () => {
    bundle = await newFolder();
    const folder = join(ROOT, "examples/browser");
    // As its first lines say.
    await build({
      entryPoints: (await readdir(folder)).map((name) => join(folder, name)),
      bundle: true,
      loader: { ".wasm": "binary", ".html": "copy" },
      outdir: bundle,
      logLevel: "silent",
    });
  });
  afterAll(() => rm(bundle, { recursive: true }));

  test("is bundled with its decoder and with nothing of Node", async () => {
    expect((await readdir(bundle)).sort()).toEqual(["index.html", "main.js"]);
    const code = await readFile(join(bundle, "main.js"), "utf8");
    // The beginning of a WebAssembly module, in base64.
    expect(code).toContain("AGFzbQ");
    expect(code).not.toMatch(/from "node:|require\("node:/);
  });

  test.skipIf(!hasBrowser)(
    `grades what is chosen as gradeFrame does${withoutBrowser}`,
    async () => {
      const { browser, close } = await openBrowser();
      try {
        const { page, complaints } = await openedPage(browser, join(bundle, "index.html"));
        const frame = `${HARBOUR}/01-tarred-hull-as-metered.jpg`;
        await page.setInputFiles("input", [join(ROOT, frame), join(ROOT, "package.json")]);
        const items = page.locator("li");
        await items.nth(1).waitFor();
        const { verdict, error } = await gradeFrame(join(ROOT, frame), {
          place: "snow",
          region: "spot",
        });
        expect(await items.nth(0).textContent()).toBe(
          `01-tarred-hull-as-metered.jpg: ${verdict}, ${error && errorText(error)}`,
        );
        expect(await items.nth(1).textContent()).toMatch(/^package\.json: \S/);
        expect(complaints).toEqual([]);
      } finally {
        await close();
      }
    },
  );
});
