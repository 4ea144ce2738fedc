import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium as driver } from "playwright-core";
import sharp from "sharp";
import { chromium } from "../../../test/outside.mjs";
import { gradeFrame, pageReport } from "../dist/index.js";

const MOVES = 200;

/** @typedef {typeof globalThis & { redraws: number[] }} TimedPage - a page that notes how long each redraw took */

/**
 * Moves a spot over the card of a frame of 24 megapixels, and takes the time of script and layout for each redraw.
 *
 * @returns rows of quantiles, milliseconds: the spot alone, a box over half the picture, and with the frame exposed anew
 */
export async function spotMoves() {
  const folder = await mkdtemp(join(tmpdir(), "tonefall spot "));
  try {
    const path = join(folder, "frame.jpg");
    await noise(6000, 4000).jpeg({ quality: 85 }).toFile(path);
    const page = join(folder, "page.html");
    const report = await pageReport(page, [path]);
    try {
      await report.add(
        await gradeFrame(
          path,
          { place: 2, region: "spot" },
          { histograms: true, look: report.look },
        ),
      );
      await report.write();
    } finally {
      await report.close();
    }
    return await moved(page, folder);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/**
 * @param {number} width
 * @param {number} height
 */
function noise(width, height) {
  const small = new Uint8Array(3 * 300 * 200);
  let seed = 1;
  for (let i = 0; i < small.length; i++) {
    seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
    small[i] = seed >>> 24;
  }
  return sharp(small, { raw: { width: 300, height: 200, channels: 3 } }).resize(width, height);
}

/**
 * @param {string} path
 * @param {string} folder
 */
async function moved(path, folder) {
  const browser = await driver.launchPersistentContext(await mkdtemp(join(folder, "profile ")), {
    executablePath: chromium.path ?? "no browser",
    headless: true,
    viewport: { width: 1440, height: 900 },
    args: ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
  });
  try {
    const page = await browser.newPage();
    await page.addInitScript(() => {
      const ask = globalThis.requestAnimationFrame.bind(globalThis);
      const timed = /** @type {TimedPage} */ (globalThis);
      timed.redraws = [];
      globalThis.requestAnimationFrame = (draw) =>
        ask((at) => {
          const begin = performance.now();
          draw(at);
          // Layout that the browser would do next is asked for now, so that it is in the time.
          document.body.getBoundingClientRect();
          timed.redraws.push(performance.now() - begin);
        });
    });
    await page.goto(pathToFileURL(path).href);
    /** @param {string} what */
    const drag = async (what) => {
      await page.locator("#frame-1").evaluate((card) => card.scrollIntoView());
      const shown = await page.locator("#frame-1 .shown").first().boundingBox();
      if (!shown) throw new Error("The page shows no picture to move a spot over");
      await page.evaluate(() => {
        /** @type {TimedPage} */ (globalThis).redraws = [];
      });
      /**
       * @param {number} i
       * @returns {[x: number, y: number]}
       */
      const at = (i) => [
        shown.x + shown.width * (0.5 + 0.3 * Math.sin(i / 9)),
        shown.y + shown.height * (0.5 + 0.3 * Math.cos(i / 7)),
      ];
      await page.mouse.move(...at(0));
      await page.mouse.down();
      for (let i = 1; i <= MOVES; i++) await page.mouse.move(...at(i));
      await page.mouse.up();
      return quantiles(
        what,
        await page.evaluate(() => /** @type {TimedPage} */ (globalThis).redraws),
      );
    };
    await page.locator("#frame-1 .spot-open").click();
    await page.locator("#frame-1 .spot").waitFor();
    const small = await drag("a meter's spot");
    await page.selectOption("#frame-1 .controls select", "box");
    for (const slider of await page.locator("#frame-1 .controls input[type=range]").all()) {
      await slider.fill("70");
    }
    const large = await drag("a box over half the picture");
    await page.locator("#frame-1 [name=beside]").check();
    const exposed = await drag("the same, with the frame exposed anew beside it");
    return [small, large, exposed];
  } finally {
    await browser.close();
  }
}

/**
 * @param {string} what
 * @param {readonly number[]} times - milliseconds
 */
function quantiles(what, times) {
  const sorted = [...times].sort((a, b) => a - b);
  /** @param {number} share */
  const at = (share) => Number(sorted[Math.floor(share * (sorted.length - 1))].toPrecision(2));
  return {
    what,
    redraws: sorted.length,
    "median, ms": at(0.5),
    "p95, ms": at(0.95),
    "most, ms": at(1),
  };
}
