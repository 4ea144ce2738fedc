/// <reference lib="dom" />
// How fast a hand-in page grades, beside a bare decode by the same decoder in a worker of the same page.
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import { pictures } from "./pictures.mjs";

const ROUNDS = 5;

/** A worker that decodes and does nothing else. */
async function bareDecoder() {
  const { outputFiles } = await build({
    stdin: {
      contents: `
        import { jpegDecoder } from "./jpegDecoder.ts";
        import { unpacked } from "./unpacked.ts";
        let decode;
        onmessage = async ({ data: { packed, file } }) => {
          decode ??= jpegDecoder(async () => WebAssembly.compile(await unpacked(packed)));
          const { width, height } = await decode(new Uint8Array(await file.arrayBuffer()));
          postMessage([width, height]);
        };`,
      resolveDir: fileURLToPath(new URL("../src/output/handout/client", import.meta.url)),
    },
    bundle: true,
    minify: true,
    format: "iife",
    platform: "browser",
    conditions: ["@tonefall/source"],
    logOverride: { "empty-import-meta": "silent" },
    write: false,
  });
  return outputFiles[0]?.text ?? "";
}

/** @param {import("playwright-core").Page} page - a hand-in page that has just been opened */
export async function measureSpeed(page) {
  const [file = ""] = await pictures(1, { megapixels: 24 });
  const ready = await page.evaluate(() => {
    const [opened] = performance.getEntriesByType("navigation");
    return /** @type {PerformanceNavigationTiming} */ (opened).domContentLoadedEventEnd;
  });
  await page.evaluate(() => {
    const chosen = document.createElement("input");
    chosen.type = "file";
    chosen.id = "bench";
    document.body.append(chosen);
  });
  await page.setInputFiles("#bench", file);
  const measured = await page.evaluate(
    async ({ script, rounds }) => {
      const file = /** @type {HTMLInputElement} */ (document.getElementById("bench")).files?.[0];
      const input = /** @type {HTMLInputElement} */ (document.getElementById("task-1"));
      const packed = document.getElementById("codec-jpeg.wasm")?.textContent;
      const worker = new Worker(URL.createObjectURL(new Blob([script])));
      /** @param {() => Promise<void>} work */
      const timed = async (work) => {
        const start = performance.now();
        await work();
        return performance.now() - start;
      };
      const bare = () =>
        /** @type {Promise<void>} */ (
          new Promise((done) => {
            worker.onmessage = () => done();
            worker.postMessage({ packed, file });
          })
        );
      const graded = () =>
        /** @type {Promise<void>} */ (
          new Promise((done) => {
            const watch = new MutationObserver(() => {
              const card = document.querySelector(".frame");
              if (!card || card.hasAttribute("aria-busy")) return;
              watch.disconnect();
              done();
            });
            watch.observe(document.body, { subtree: true, childList: true, attributes: true });
            const given = new DataTransfer();
            if (file) given.items.add(file);
            input.files = given.files;
            input.dispatchEvent(new Event("change"));
          })
        );
      /** @type {number[]} */
      const longTasks = [];
      new PerformanceObserver((list) => {
        for (const { duration } of list.getEntries()) longTasks.push(duration);
      }).observe({ type: "longtask" });
      /** @type {{ bare: number, graded: number }[]} */
      const all = [];
      // The first round warms both up.
      for (let round = 0; round <= rounds; round++) {
        const decoded = await timed(bare);
        const whole = await timed(graded);
        /** @type {HTMLElement} */ (document.querySelector(".remove")).click();
        if (round > 0) all.push({ bare: decoded, graded: whole });
      }
      worker.terminate();
      return { all, longTasks };
    },
    { script: await bareDecoder(), rounds: ROUNDS },
  );
  const ratios = measured.all.map(({ bare, graded }) => graded / bare).sort((a, b) => a - b);
  const at = (/** @type {number} */ i) => (ratios[i] ?? 0).toFixed(2);
  console.log(`ready ${ready.toFixed(0)} ms after the page was asked for`);
  for (const { bare, graded } of measured.all) {
    console.log(`  bare decode ${bare.toFixed(0)} ms, graded and shown ${graded.toFixed(0)} ms`);
  }
  console.log(
    `24 megapixels: ${at(Math.floor(ROUNDS / 2))} times a bare decode (${at(0)} to ${at(ROUNDS - 1)})`,
  );
  const longest = Math.max(0, ...measured.longTasks);
  console.log(
    `tasks over 50 ms on the page's own thread: ${measured.longTasks.length}, longest ${longest.toFixed(0)} ms`,
  );
}
