import { pathToFileURL } from "node:url";
import axeCore from "axe-core";
import type { BrowserContext, Page } from "playwright-core";

/** Opens a page from disk and gathers whatever it should not do: words on the console, errors, requests. */
export async function openedPage(
  browser: BrowserContext,
  path: string,
): Promise<{ page: Page; complaints: string[] }> {
  const page = await browser.newPage();
  const complaints: string[] = [];
  page.on("console", (message) => complaints.push(`${message.type()}: ${message.text()}`));
  page.on("pageerror", (error) => complaints.push(error.message));
  page.on("request", (request) => {
    if (!/^(data|blob|file):/.test(request.url())) complaints.push(request.url());
  });
  await page.goto(pathToFileURL(path).href);
  return { page, complaints };
}

/** What axe has against a page as it stands. */
export async function violationsOf(page: Page): Promise<string[]> {
  // Policy forbids the page to take in code; the auditor comes in through the debugger's door.
  await page.evaluate(axeCore.source);
  return page.evaluate(async () => {
    const { axe } = globalThis as unknown as {
      axe: {
        run(): Promise<{
          violations: { id: string; nodes: { html: string }[] }[];
          passes: unknown[];
        }>;
      };
    };
    const { violations, passes } = await axe.run();
    return passes.length < 10
      ? ["axe looked at nothing"]
      : violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`);
  });
}
