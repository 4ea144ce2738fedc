import { link, mkdir, mkdtemp, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { gradeFrames } from "@tonefall/grader";
import { chromium } from "playwright-core";
import sharp from "sharp";
import { pageReport } from "../dist/page/pageReport.js";
import { writeReport } from "../dist/page/writeReport.js";

const FRAMES = 2000;
const MEGABYTE = 2 ** 20;

/** Writes a report of 2,000 small synthetic frames, opens its index and its first page of cards, and measures both. */
export async function reportOf2000Frames() {
  const folder = await mkdtemp(join(tmpdir(), "tonefall report "));
  try {
    const path = join(folder, "frame.jpg");
    await noisyGradient().jpeg({ quality: 90 }).toFile(path);
    const report = pageReport({ frames: FRAMES });
    const start = performance.now();
    const rows = [];
    // One picture under many names: what is measured is the report.
    const names = Array.from({ length: FRAMES }, (_, i) => join(folder, `frame ${i + 1}.jpg`));
    for (const name of names) await link(path, name);
    const run = { histograms: true, look: report.look };
    for await (const row of gradeFrames(names, { place: -1, region: "spot" }, run)) rows.push(row);
    const graded = performance.now();
    const out = join(folder, "out");
    await mkdir(out);
    await writeReport(report, rows, join(out, "report.html"));
    const written = performance.now();
    const pages = [join(out, "report.html"), join(out, "report-frames", "001.html")];
    const lines = [];
    for (const page of pages) lines.push(await opened(page, folder));
    return {
      frames: FRAMES,
      gradeSeconds: (graded - start) / 1000,
      writeSeconds: (written - graded) / 1000,
      pages: lines,
    };
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
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

async function opened(path, folder) {
  const { size } = await stat(path);
  const browser = await chromium.launchPersistentContext(await mkdtemp(join(folder, "profile ")), {
    executablePath: "/usr/bin/chromium",
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
    const start = performance.now();
    await page.goto(pathToFileURL(path).href);
    const loadSeconds = (performance.now() - start) / 1000;
    const session = await browser.newCDPSession(page);
    await session.send("Performance.enable");
    const { metrics } = await session.send("Performance.getMetrics");
    const metric = (name) => metrics.find((one) => one.name === name)?.value ?? Number.NaN;
    return {
      megabytes: size / MEGABYTE,
      loadSeconds,
      heapMegabytes: metric("JSHeapUsedSize") / MEGABYTE,
      elements: metric("Nodes"),
    };
  } finally {
    await browser.close();
  }
}
