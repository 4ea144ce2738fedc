import { rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { BrowserContext } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { hasBrowser, openBrowser, withoutBrowser } from "./browser.ts";
import { writeBracket } from "./kitScene.ts";
import { openedPage, violationsOf } from "./openedPage.ts";
import { newFolder } from "./pictures.ts";
import { runTonefall } from "./runTonefall.ts";

/** The smallest lettering of a plot that people read without leaning forward, pixels. */
const READABLE_PX = 12;

describe.skipIf(!hasBrowser)(`the page of a kit${withoutBrowser}`, () => {
  let folder = "";
  let browser: BrowserContext;
  let close: () => Promise<void>;
  let html = "";

  beforeAll(async () => {
    folder = await newFolder();
    ({ browser, close } = await openBrowser());
    await writeBracket(join(folder, "room"), 5, () => ({}));
    const place = join(folder, "room");
    ({ stdout: html } = await runTonefall(["kit", "bracket", place, "-f", "html"]));
    await writeFile(join(folder, "kit.html"), html);
  }, 120_000);
  afterAll(async () => {
    await close?.();
    await rm(folder, { recursive: true });
  });

  test("names frames without the folders of the machine that they lay on", () => {
    expect(html).toContain("frame 0.png");
    expect(html).not.toContain(folder);
    expect(html).not.toMatch(/[>"\s]\/(home|tmp|work|Users)\//);
  });

  test("belongs to the pages: landmarks, one frame, labels that can be read on a phone too, no code", async () => {
    const { page, complaints } = await openedPage(browser, join(folder, "kit.html"));
    expect(await violationsOf(page)).toEqual([]);
    expect(await page.locator("header.page-top h1").textContent()).toMatch(/^Response of /);
    expect(await page.locator("main#main, footer.page-foot").count()).toBe(2);
    expect(html).not.toContain("<script");
    for (const width of [1024, 360]) {
      await page.setViewportSize({ width, height: 768 });
      const sizes = await page.evaluate(() => {
        // biome-ignore lint: tests know no browser's types
        const { document, getComputedStyle } = globalThis as any;
        return (
          [...document.querySelectorAll("figure svg text")]
            // biome-ignore lint: tests know no browser's types
            .filter((text: any) => text.getBoundingClientRect().width > 0)
            // biome-ignore lint: tests know no browser's types
            .map((text: any) => {
              const scale = text.ownerSVGElement.getScreenCTM().a;
              return scale * Number.parseFloat(getComputedStyle(text).fontSize);
            })
        );
      });
      expect(sizes.length).toBeGreaterThan(10);
      expect(Math.min(...sizes), `${width} px`).toBeGreaterThanOrEqual(READABLE_PX);
      expect(await page.evaluate("document.documentElement.scrollWidth > innerWidth")).toBe(false);
    }
    expect(complaints).toEqual([]);
    await page.close();
  }, 60_000);

  test("figures line up and have one kind of minus sign", () => {
    expect(html).toMatch(/<td class="number-cell">−\d\.\d\d</);
    expect(html).not.toMatch(/>\s*-\d/);
  });
});
