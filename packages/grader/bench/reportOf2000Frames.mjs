import { link, mkdir, mkdtemp, readFile, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium as driver } from "playwright-core";
import sharp from "sharp";
import { chromium } from "../../../test/outside.mjs";
import { megabytes, startedProcess } from "./startedProcess.mjs";

const MEGABYTE = 2 ** 20;

/**
 * How large, slow and hungry is a report of 2,000 frames? Reports of 200 and of 2,000 small synthetic frames are written,
 * each by a process of its own; the small one, and the index and the first page of cards of the large one, are opened in a
 * browser and scrolled through.
 */
export async function reportOf2000Frames() {
  const folder = await mkdtemp(join(tmpdir(), "tonefall report "));
  try {
    const picture = join(folder, "frame.jpg");
    await noisyGradient().jpeg({ quality: 90 }).toFile(picture);
    // One picture under many names: what is measured is the report.
    for (let i = 1; i <= 2000; i++) await link(picture, join(folder, `frame ${i}.jpg`));
    const runs = [await written(folder, 200), await written(folder, 2000)];
    const pages = [];
    for (const name of ["200/report.html", "2000/report.html", "2000/report-frames/001.html"])
      pages.push(await opened(join(folder, name), folder));
    return { runs, pages };
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/**
 * Grades and writes in a process of its own, and says what that took.
 *
 * @param {string} folder
 * @param {number} frames
 */
async function written(folder, frames) {
  await mkdir(join(folder, String(frames)));
  const script = `
    import { gradeFrames, pageReport } from ${JSON.stringify(import.meta.resolve("@tonefall/grader"))};
    const { FOLDER, FRAMES } = process.env;
    const names = Array.from({ length: Number(FRAMES) }, (_, i) => FOLDER + "/frame " + (i + 1) + ".jpg");
    const report = await pageReport(FOLDER + "/" + FRAMES + "/report.html", names);
    const start = performance.now();
    const run = { histograms: true, look: report.look };
    for await (const row of gradeFrames(names, { place: -1, region: "spot" }, run)) await report.add(row);
    const graded = performance.now();
    await report.write();
    await report.close();
    console.log(JSON.stringify({
      frames: Number(FRAMES),
      "grading and cards, s": (graded - start) / 1000,
      "pages, s": (performance.now() - graded) / 1000,
    }));`;
  const { stdout, cpuMilliseconds, peakMegabytes } = startedProcess(
    ["--input-type=module", "--eval", script],
    { FOLDER: folder, FRAMES: String(frames) },
  );
  return rounded({
    ...JSON.parse(stdout),
    "processor, s": cpuMilliseconds / 1000,
    "peak memory, MB": megabytes(peakMegabytes),
  });
}

function noisyGradient() {
  const [width, height] = [900, 600];
  const samples = new Uint8Array(3 * width * height);
  let seed = 1;
  for (let i = 0; i < samples.length; i++) {
    seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
    samples[i] = Math.min(255, ((i % (3 * width)) / (3 * width)) * 220 + (seed >>> 27));
  }
  return sharp(samples, { raw: { width, height, channels: 3 } });
}

/**
 * @param {string} path
 * @param {string} folder
 */
async function opened(path, folder) {
  const { size } = await stat(path);
  const browser = await driver.launchPersistentContext(await mkdtemp(join(folder, "profile ")), {
    executablePath: chromium.path ?? "no browser",
    headless: true,
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
  try {
    const page = await browser.newPage();
    await page.addInitScript(() => {
      const tasks = /** @type {number[]} */ ([]);
      Object.assign(globalThis, { longTasks: tasks });
      new PerformanceObserver((list) => {
        for (const { duration } of list.getEntries()) tasks.push(duration);
      }).observe({ type: "longtask", buffered: true });
    });
    const session = await browser.newCDPSession(page);
    // Processor time of the page's main thread: other work on the machine does not count.
    await session.send("Performance.enable", { timeDomain: "threadTicks" });
    const start = performance.now();
    await page.goto(pathToFileURL(path).href);
    const loadSeconds = (performance.now() - start) / 1000;
    const { metrics } = await session.send("Performance.getMetrics");
    /** @param {string} name */
    const metric = (name) => metrics.find((one) => one.name === name)?.value ?? Number.NaN;
    const scrolling = await longTasksOfScrolling(page);
    return rounded({
      page: path.slice(folder.length + 1),
      "size, MB": size / MEGABYTE,
      "load, s": loadSeconds,
      "main thread, s": metric("TaskDuration"),
      "screens scrolled": scrolling.screens,
      "long tasks in that": scrolling.tasks.length,
      "longest, ms": Math.max(0, ...scrolling.tasks),
      "script heap, MB": metric("JSHeapUsedSize") / MEGABYTE,
      "its process, MB": await residentMegabytes(browser),
      elements: metric("Nodes"),
    });
  } finally {
    await browser.close();
  }
}

/**
 * Scrolls through a page as a wheel does; a task is long beyond 50 milliseconds.
 *
 * @param {import("playwright-core").Page} page
 */
async function longTasksOfScrolling(page) {
  await page.mouse.move(700, 400);
  await page.evaluate("longTasks.length = 0");
  const bottom = () => page.evaluate(() => scrollY + innerHeight + 5 >= document.body.scrollHeight);
  let screens = 0;
  for (; screens < 400 && !(await bottom()); screens++) {
    await page.mouse.wheel(0, 600);
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(done)));
  }
  return { screens, tasks: await page.evaluate("longTasks") };
}

/**
 * Resident memory of the largest of the browser's page processes; NaN where the system does not tell.
 *
 * @param {import("playwright-core").BrowserContext} browser
 */
async function residentMegabytes(browser) {
  try {
    const session = await browser.browser()?.newBrowserCDPSession();
    if (!session) return Number.NaN;
    const { processInfo } = await session.send("SystemInfo.getProcessInfo");
    const sizes = [];
    for (const { type, id } of processInfo) {
      if (type !== "renderer") continue;
      const status = await readFile(`/proc/${id}/status`, "utf8");
      sizes.push(Number(/^VmRSS:\s+(\d+)/m.exec(status)?.[1]) / 1024);
    }
    return Math.max(...sizes);
  } catch {
    return Number.NaN;
  }
}

/** @param {Record<string, string | number>} row */
function rounded(row) {
  return Object.fromEntries(
    Object.entries(row).map(([key, value]) => [
      key,
      typeof value === "number" ? Number(value.toPrecision(3)) : value,
    ]),
  );
}
