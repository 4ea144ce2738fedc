import { rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { gradeFrames, pageReport } from "@tonefall/grader";
import type { BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { hasBrowser, openBrowser, withoutBrowser } from "./browser.ts";
import { openedPage } from "./openedPage.ts";
import { flat, METERED_EXIF, newFolder } from "./pictures.ts";

const FRAMES = 30;
const MISSES = 12;

/** Files without a grade, which need a line each and no sheet of their own. */
const LOST = 3;

/** The overview, two misses a sheet, and one contact sheet. */
const PAPERS = 1 + MISSES / 2 + 1;

describe.skipIf(!hasBrowser)(`a printed report${withoutBrowser}`, () => {
  let folder = "";
  let browser: BrowserContext;
  let close: () => Promise<void>;
  let page: Page;

  beforeAll(async () => {
    folder = await newFolder();
    ({ browser, close } = await openBrowser());
    const paths: string[] = [];
    for (let i = 1; i <= FRAMES; i++) {
      const path = join(folder, `frame ${String(i).padStart(2, "0")}.jpg`);
      // Middle grey, or a tone 1 2/3 stops above it.
      await flat(i <= MISSES ? 190 : 118)
        .withExif(METERED_EXIF)
        .jpeg()
        .toFile(path);
      paths.push(path);
    }
    for (let i = 1; i <= LOST; i++) {
      const path = join(folder, `lost ${i}.jpg`);
      await writeFile(path, "");
      paths.push(path);
    }
    const report = await pageReport(join(folder, "report.html"), paths);
    const run = { histograms: true, look: report.look };
    for await (const row of gradeFrames(paths, { place: 0 }, run)) await report.add(row);
    await report.write();
    await report.close();
    ({ page } = await openedPage(browser, join(folder, "report.html")));
  }, 120_000);
  afterAll(async () => {
    await close?.();
    await rm(folder, { recursive: true });
  });

  const papersOf = async (format: string): Promise<number> => {
    const pdf = await page.pdf({ format });
    return pdf.toString("latin1").match(/\/Type \/Page\b/g)?.length ?? 0;
  };

  test.each(["A4", "Letter"])(
    "of 30 frames takes the sheets of %s it should",
    async (format) => {
      expect(await papersOf(format)).toBe(PAPERS);
    },
    60_000,
  );

  test("shows every frame once, two misses to a sheet, and cuts nothing off", async () => {
    await page.emulateMedia({ media: "print" });
    await page.evaluate("dispatchEvent(new Event('beforeprint'))");
    const misses = await page.locator(".print-miss h2").allTextContents();
    const rest = await page.locator(".print-contact .print-name").allTextContents();
    const names = [...misses, ...rest].map((text) => /frame \d\d/.exec(text)?.[0]);
    expect(misses).toHaveLength(MISSES);
    const lost = await page.locator(".print-failures li").allTextContents();
    expect(lost).toHaveLength(LOST);
    expect(lost[0]).toMatch(/^31 lost 1\.jpg: The file is empty.*\.$/);
    expect(new Set(names).size).toBe(FRAMES);
    expect(names).toHaveLength(FRAMES);
    const cut = await page.locator(".print-miss, .print-words").evaluateAll((all) =>
      all
        .map((one) => one as unknown as { scrollHeight: number; clientHeight: number })
        .filter(({ scrollHeight, clientHeight }) => scrollHeight > clientHeight + 1)
        .map(({ scrollHeight, clientHeight }) => scrollHeight - clientHeight),
    );
    expect(cut).toEqual([]);
    const margins = await page.evaluate(() => {
      // biome-ignore lint: tests know no browser's types
      const { document, getComputedStyle } = globalThis as any;
      const style = getComputedStyle(document.documentElement);
      const sheet = document.querySelector("style").textContent;
      return {
        title: style.getPropertyValue("--print-title"),
        date: style.getPropertyValue("--print-date"),
        numbered: sheet.includes("counter(page)") && sheet.includes("counter(pages)"),
      };
    });
    expect(margins.title).toBe('"Exposure report"');
    expect(margins.date).toMatch(/20\d\d"$/);
    expect(margins.numbered).toBe(true);
    await page.evaluate("dispatchEvent(new Event('afterprint'))");
    expect(await page.locator(".print-out").count()).toBe(0);
    await page.emulateMedia({ media: null });
  });

  test("has tables where somebody asks for them", async () => {
    await page.locator(".print-tables").check();
    await page.locator(".all-figures table").waitFor();
    expect(await papersOf("A4")).toBeGreaterThan(PAPERS);
    await page.locator(".print-tables").uncheck();
    expect(await papersOf("A4")).toBe(PAPERS);
  }, 60_000);
});
