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
      const steps = /** @type {string[]} */ ([]);
      Object.assign(globalThis, { steps });
      new MutationObserver(() => {
        const step = document.querySelector(".frame .state")?.textContent ?? "";
        if (step !== "" && steps.at(-1) !== step) steps.push(step);
      }).observe(document.body, { subtree: true, childList: true, characterData: true });
    });
    const start = performance.now();
    const tasks = await tasksDuring(client, async () => {
      await page.setInputFiles("#task-1", [file]);
      await page.waitForFunction(
        () => document.querySelectorAll(".frame:not([aria-busy])").length === 1,
        null,
        { timeout: 300_000 },
      );
    });
    const seconds = (performance.now() - start) / 1000;
    const steps = await page.evaluate(() => Reflect.get(globalThis, "steps"));
    await page.click(".remove");
    const longest = (/** @type {"wall" | "worked"} */ kind) =>
      Math.max(0, ...tasks.map((task) => task[kind])).toFixed(0);
    console.log(
      `  ${basename(file)}: ${seconds.toFixed(1)} s; shown meanwhile: ${steps.join(" ")}`,
    );
    console.log(
      `    longest task of the page's thread: ${longest("worked")} ms of its own time, ${longest("wall")} ms by the clock; over 100 ms of its own: ${tasks.filter(({ worked }) => worked > 100).length}`,
    );
  }
  await client.send("Emulation.setCPUThrottlingRate", { rate: 1 });
}

/**
 * What the page's own thread does meanwhile, task by task: on a busy machine the clock also counts what others do.
 *
 * @param {import("playwright-core").CDPSession} client
 * @param {() => Promise<void>} work
 * @returns {Promise<{ wall: number, worked: number }[]>} milliseconds
 */
async function tasksDuring(client, work) {
  /** @type {any[]} */
  const events = [];
  const gather = (/** @type {{ value: any[] }} */ { value }) => {
    for (const event of value) events.push(event);
  };
  client.on("Tracing.dataCollected", gather);
  await client.send("Tracing.start", { categories: "toplevel", transferMode: "ReportEvents" });
  await work();
  const complete = new Promise((done) => client.once("Tracing.tracingComplete", done));
  await client.send("Tracing.end");
  await complete;
  client.off("Tracing.dataCollected", gather);
  const main = new Set(
    events
      .filter(({ name, args }) => name === "thread_name" && args.name === "CrRendererMain")
      .map(({ pid, tid }) => `${pid} ${tid}`),
  );
  return events
    .filter(({ name, pid, tid }) => /RunTask$/.test(name) && main.has(`${pid} ${tid}`))
    .map(({ dur = 0, tdur = 0 }) => ({ wall: dur / 1000, worked: tdur / 1000 }));
}
