/// <reference lib="dom" />
// A hand-in page as on a slow phone: how long it stands still while pictures of 12 megapixels are graded.
import { basename } from "node:path";
import { pictures } from "./pictures.mjs";

const SLOWER = 4;

/**
 * @param {import("playwright-core").Page} page - a hand-in page
 * @param {readonly string[]} given - pictures; none for a made one
 */
export async function measurePhone(page, given) {
  const files = given.length > 0 ? given : await pictures(1, { megapixels: 12 });
  await page.setViewportSize({ width: 390, height: 844 });
  const client = await page.context().newCDPSession(page);
  await client.send("Emulation.setCPUThrottlingRate", { rate: SLOWER });
  console.log(`390 x 844, the page's thread ${SLOWER} times slower`);
  for (const file of files) {
    await page.evaluate(() => {
      const seen = { tasks: /** @type {number[]} */ ([]), steps: /** @type {string[]} */ ([]) };
      Object.assign(globalThis, { seen });
      new PerformanceObserver((list) => {
        for (const { duration } of list.getEntries()) seen.tasks.push(duration);
      }).observe({ type: "longtask" });
      new MutationObserver(() => {
        const step = document.querySelector(".frame .state")?.textContent ?? "";
        if (step !== "" && seen.steps.at(-1) !== step) seen.steps.push(step);
      }).observe(document.body, { subtree: true, childList: true, characterData: true });
    });
    const start = performance.now();
    await page.setInputFiles("#task-1", [file]);
    await page.waitForFunction(
      () => document.querySelectorAll(".frame:not([aria-busy])").length === 1,
      null,
      { timeout: 300_000 },
    );
    const seconds = (performance.now() - start) / 1000;
    const { tasks, steps } = await page.evaluate(() => Reflect.get(globalThis, "seen"));
    await page.click(".remove");
    console.log(
      `  ${basename(file)}: ${seconds.toFixed(1)} s, shown meanwhile: ${steps.join(" ")} tasks over 50 ms: ${tasks.length}, longest ${Math.max(0, ...tasks).toFixed(0)} ms`,
    );
  }
  await client.send("Emulation.setCPUThrottlingRate", { rate: 1 });
}
