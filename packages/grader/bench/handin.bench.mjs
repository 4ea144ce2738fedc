/// <reference lib="dom" />
// The hand-in page against the command, in Chromium: the same rows on many pictures, its speed beside a bare decode by the
// same decoder, how long a slow phone's page stands still, and memory over many frames.
// node packages/grader/bench/handin.bench.mjs [FILES OR FOLDERS] [--raw] [--frames 60] [--speed] [--phone].
// Without files, it takes the real photographs beside the checkout.
import { readdirSync, readFileSync, statSync } from "node:fs";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { chromium as driver } from "playwright-core";
import { chromium, corpus } from "../../../test/outside.mjs";
import { exerciseOfBriefs, gradeFrame, handoutPage } from "../dist/index.js";
import { measurePhone } from "./handinPhone.mjs";
import { measureSpeed } from "./handinSpeed.mjs";

const { values, positionals } = parseArgs({
  options: {
    raw: { type: "boolean" },
    speed: { type: "boolean" },
    phone: { type: "boolean" },
    frames: { type: "string", default: "0" },
  },
  allowPositionals: true,
});

const BRIEF = { place: 0, region: "circle:0.5,0.5,0.2" };

/** Falls may differ by this much, stops. */
const ALIKE_STOPS = 0.001;

const READ = values.raw
  ? /\.(jpe?g|png|heic|heif|hif|dng|cr2|cr3|nef|arw|raf|rw2|orf|pef)$/i
  : /\.(jpe?g|png|webp|heic|heif|hif)$/i;

/** @param {string} path @returns {string[]} */
function filesIn(path) {
  if (!statSync(path).isDirectory()) return [path];
  return readdirSync(path, { withFileTypes: true, recursive: true })
    .filter((entry) => entry.isFile() && READ.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name));
}

/** What of a row a student and a teacher read. @param {any} row */
function told(row) {
  return {
    verdict: row.verdict,
    bound: row.fall?.bound ?? null,
    causes: row.causes.map((/** @type {any} */ { code }) => code),
    words: row.feedback?.text ?? null,
    notes: row.notes.map((/** @type {any} */ { code }) => code),
    failure: row.failure?.code ?? null,
    clipped: row.clipped,
    region: row.region,
  };
}

/** @param {import("playwright-core").Page} page @param {readonly string[]} files */
async function rowsOf(page, files) {
  await page.setInputFiles("#task-1", [...files]);
  await page.waitForFunction(
    (count) =>
      document.querySelectorAll(".frame").length === count &&
      document.querySelector(".frame[aria-busy]") === null,
    files.length,
    { timeout: 600_000 },
  );
  const [download] = await Promise.all([page.waitForEvent("download"), page.click(".save")]);
  const slip = JSON.parse(readFileSync(await download.path(), "utf8"));
  for (const button of await page.$$(".remove")) await button.click();
  return slip.frames.map((/** @type {any} */ { row }) => row);
}

/** Memory of the page's scripts, and of its whole process with its workers. @param {import("playwright-core").Page} page */
async function memoryOf(page) {
  const client = await page.context().newCDPSession(page);
  await client.send("HeapProfiler.collectGarbage");
  const { usedSize, backingStorageSize = 0 } = await client.send("Runtime.getHeapUsage");
  await client.detach();
  const mebibytes = (/** @type {number} */ bytes) => (bytes / 2 ** 20).toFixed(1);
  return `${mebibytes(usedSize + backingStorageSize)} MiB in the page, ${mebibytes(pageProcessBytes())} MiB in its process`;
}

/** Resident bytes of the largest process that shows pages, of those that this one started; Linux only. */
function pageProcessBytes() {
  const sizes = readdirSync("/proc")
    .filter((name) => /^\d+$/.test(name))
    .map((id) => {
      try {
        const command = readFileSync(`/proc/${id}/cmdline`, "utf8");
        if (!command.includes("--type=renderer") || !command.includes(folder)) return 0;
        return (
          1024 * Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${id}/status`, "utf8"))?.[1])
        );
      } catch {
        return 0;
      }
    });
  return Math.max(0, ...sizes);
}

const folder = await mkdtemp(join(tmpdir(), "tonefall-handin-"));
const path = join(folder, "page.html");
const more = values.raw ? ["heic", "raw"] : ["heic"];
await writeFile(
  path,
  await handoutPage(exerciseOfBriefs([["**", BRIEF]], "Bench"), {
    with: /** @type {("heic" | "raw")[]} */ (more),
  }),
);
const browser = await driver.launchPersistentContext(join(folder, "profile"), {
  executablePath: chromium.path ?? "no browser",
  headless: true,
  args: ["--no-sandbox", "--disable-gpu"],
});
const page = await browser.newPage();
await page.goto(pathToFileURL(path).href);

if (values.speed) await measureSpeed(page);
if (values.phone) await measurePhone(page, positionals);

const given = positionals.length > 0 ? positionals : corpus.path ? [corpus.path] : [];
const files = given.flatMap(filesIn).sort();
let same = 0;
let largest = 0;
for (let at = 0; at < files.length; at += 10) {
  const part = files.slice(at, at + 10);
  const rows = await rowsOf(page, part);
  for (const [i, file] of part.entries()) {
    const command = await gradeFrame(file, BRIEF, { voice: "student" });
    const differs = Object.entries(told(command)).filter(
      ([key, value]) =>
        JSON.stringify(value) !== JSON.stringify(told(rows[i])[/** @type {"verdict"} */ (key)]),
    );
    const apart = Math.abs((command.fall?.stops ?? 0) - (rows[i].fall?.stops ?? 0));
    largest = Math.max(largest, apart);
    if (differs.length === 0 && apart <= ALIKE_STOPS) {
      same++;
      continue;
    }
    console.log(`${file}: ${apart.toFixed(4)} stop apart`);
    for (const [key, value] of differs) {
      const there = told(rows[i])[/** @type {"verdict"} */ (key)];
      console.log(`  ${key}: ${JSON.stringify(value)} here, ${JSON.stringify(there)} in the page`);
    }
  }
}
console.log(`${same} of ${files.length} rows alike; largest difference ${largest.toFixed(5)} stop`);

const frames = Number(values.frames);
if (frames > 0) {
  const [file = ""] = positionals;
  console.log(`before: ${await memoryOf(page)}`);
  for (let done = 0; done < frames; done += 10) {
    const start = performance.now();
    await rowsOf(page, Array(10).fill(file));
    const seconds = (performance.now() - start) / 1000;
    console.log(
      `${done + 10} frames of ${basename(file)}: ${(seconds / 10).toFixed(2)} s each, ${await memoryOf(page)}`,
    );
  }
}
await browser.close();
await rm(folder, { recursive: true, force: true });
