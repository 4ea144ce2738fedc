import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type BrowserContext, chromium as driver } from "playwright-core";
import { chromium } from "./outside.mjs";

/** Whether a browser is there; tests that need one skip, and say so, where it is not. */
export const hasBrowser: boolean = chromium.path !== null;

/** Appended to the title of a suite that cannot run here. */
export const withoutBrowser: string = chromium.skipped;

/** A browser with a profile of its own, and a way to end both. */
export async function openBrowser(): Promise<{
  readonly browser: BrowserContext;
  readonly close: () => Promise<void>;
}> {
  const profile = await mkdtemp(join(tmpdir(), "tonefall browser "));
  const browser = await driver.launchPersistentContext(profile, {
    executablePath: chromium.path ?? "no browser",
    headless: true,
    viewport: { width: 1280, height: 900 },
    acceptDownloads: true,
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
  const close = async (): Promise<void> => {
    await browser.close();
    await rm(profile, { recursive: true, force: true });
  };
  return { browser, close };
}
