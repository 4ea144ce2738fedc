import { rm } from "node:fs/promises";
import { join, resolve } from "node:path";
import { gradeFrames, pageReport, readBriefFile } from "@tonefall/grader";
import type { BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import {
  answerOf,
  countOf,
  NO_HANDS,
  placesOf,
  SUMMARY_ROWS,
  sumOf,
  truthWords,
} from "../packages/grader/src/output/page/client/wallLesson.ts";
import { picksIn, withPicks } from "../packages/grader/src/output/page/client/wallPicks.ts";
import { laneOf } from "../packages/grader/src/output/page/client/wallRuler.ts";
import type { WallFrame } from "../packages/grader/src/output/page/wallData.ts";
import { hasBrowser, openBrowser, withoutBrowser } from "./browser.ts";
import { openedPage, violationsOf } from "./openedPage.ts";
import { newFolder } from "./pictures.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");

/** A frame with as much as a lesson looks at. */
function frame(number: number, data: object = {}): WallFrame {
  const bare = {
    number,
    placement: { from: 0, to: 0, text: "0" },
    tolerance: 1 / 3,
    fall: { stops: 0, bound: null },
    verdict: "within",
    headline: "within",
    why: null,
    next: null,
  };
  return { key: String(number), label: `Frame ${number}`, data: { ...bare, ...data } } as WallFrame;
}

describe("a lesson", () => {
  test("passes every frame by its steps, without a why where nothing missed, and ends in pages of the summary", () => {
    const many = Array.from({ length: SUMMARY_ROWS + 1 }, (_, i) => frame(i + 1));
    const missed = frame(9, { verdict: "over", why: "The meter read dark tones." });
    const places = placesOf([...many, missed]);
    const steps = places.flatMap((place) => ("step" in place ? [place.step] : []));
    expect(steps.slice(0, 4)).toEqual(["look", "predict", "reveal", "look"]);
    expect(steps.slice(-4)).toEqual(["look", "predict", "reveal", "why"]);
    expect(places.slice(steps.length)).toEqual([{ summary: 0 }, { summary: 1 }]);
  });

  test.each([
    ["12", 12],
    ["", 0],
    ["-4", 4],
    ["7 hands", 7],
    ["99999999999999999999", 999],
  ])("a count typed as %j is %i hands", (typed, hands) => {
    expect(countOf(typed)).toBe(hands);
  });

  test("hands are summed over the frames that have an answer, and the hardest is named", () => {
    const easy = frame(1);
    const hard = frame(2, { verdict: "over" });
    const open = frame(3, { verdict: "undecided" });
    const hands = new Map([
      [easy, { under: 1, within: 8, over: 1 }],
      [hard, { under: 6, within: 2, over: 2 }],
      [open, { under: 5, within: 5, over: 5 }],
    ]);
    const sum = sumOf([easy, hard, open], (one) => hands.get(one) ?? NO_HANDS);
    expect(sum).toEqual({
      raised: 20,
      right: 10,
      hardest: { frame: hard, right: 2, raised: 10 },
    });
    expect(sumOf([easy], () => NO_HANDS)).toEqual({ raised: 0, right: 0, hardest: null });
  });

  test.each([
    [0.3, "within", "At middle grey"],
    [-0.4, "under", "1/3 stop below middle grey"],
  ])(
    "a tone that nobody placed and that fell at %d is judged against middle grey",
    (stops, answer, words) => {
      const headline = "1/3 stop below middle grey";
      const data = { placement: null, verdict: null, fall: { stops, bound: null }, headline };
      expect(answerOf(frame(1, data))).toBe(answer);
      expect(truthWords(frame(1, data))).toBe(words);
    },
  );

  test("the ruler is widened by a placement, and never by the truth", () => {
    const { ends } = laneOf(frame(1, { fall: { stops: -6, bound: null } }));
    expect(ends).toEqual([-4, 3]);
    const dark = frame(2, { placement: { from: -4.5, to: -4, text: "" } });
    expect(laneOf(dark).ends[0]).toBeLessThan(-5);
  });
});

describe("the frames of a lesson in the page's address", () => {
  test("come back in their order, beside whatever else the address holds", () => {
    const hash = withPicks("#show=missed&open=frame-2", ["5", "1", "set-1-sheet-2.1"]);
    expect(hash).toContain("show=missed&open=frame-2");
    expect(picksIn(hash)).toEqual(["5", "1", "set-1-sheet-2.1"]);
    expect(picksIn(withPicks(hash, ["2"]))).toEqual(["2"]);
    expect(withPicks("#wall=1,2", [])).toBe("");
  });

  test("are none where the address names none", () => {
    expect(picksIn("")).toBeNull();
    expect(picksIn("#wall=")).toBeNull();
    expect(picksIn("#frame-3")).toBeNull();
  });

  test.each(["#frame-3", "#show=missed"])("an address of its own, %s, stays", (hash) => {
    expect(withPicks(withPicks(hash, ["4"]), [])).toBe(hash);
  });
});

describe.skipIf(!hasBrowser)(`the wall${withoutBrowser}`, () => {
  let folder = "";
  let browser: BrowserContext;
  let close: () => Promise<void>;

  beforeAll(async () => {
    folder = await newFolder();
    ({ browser, close } = await openBrowser());
    const paths = ["01-tarred-hull-as-metered", "04-slate-slip-by-hand", "11-bracket-plus-2"].map(
      (name) => join(HARBOUR, `${name}.jpg`),
    );
    const brief = await readBriefFile(join(HARBOUR, "brief.yaml"));
    const report = await pageReport(join(folder, "report.html"), paths);
    const run = { histograms: true, look: report.look };
    const briefOf = (source: unknown) => brief.briefFor(String(source), HARBOUR);
    for await (const row of gradeFrames(paths, briefOf, run)) await report.add(row);
    await report.write();
    await report.close();
  }, 120_000);
  afterAll(async () => {
    await close?.();
    await rm(folder, { recursive: true });
  });

  const step = (page: Page): Promise<string | null> =>
    page.locator(".wall").getAttribute("data-step");

  /** The ruler is drawn once it has a size, and the region once its picture is there: both after the key that asks for them. */
  const drawn = async (page: Page): Promise<void> => {
    for (const part of [".wall .lane", ".wall .wall-shown svg.region"])
      await page.locator(part).waitFor({ state: "attached" });
  };

  test("key P leads through look, predict, reveal and why, counts hands, and sums them up", async () => {
    const { page, complaints } = await openedPage(browser, join(folder, "report.html"));
    await page.setViewportSize({ width: 1024, height: 768 });
    await page.keyboard.press("p");
    expect(await step(page)).toBe("pick");
    expect(await violationsOf(page)).toEqual([]);
    expect(await faintOrSmall(page)).toEqual([]);

    // Picked against the order of the page, and kept in its address.
    await page.locator(".wall-list li", { hasText: "Frame 3" }).locator("input").check();
    await page.locator(".wall-list li", { hasText: "Frame 2" }).locator("input").check();
    expect(page.url()).toMatch(/#.*wall=3,2$/);
    await page.keyboard.press("Escape");
    expect(await page.locator(".wall").count()).toBe(0);
    await page.reload();
    await page.keyboard.press("p");

    const seen: (string | null)[] = [];
    for (const key of [" ", "ArrowRight", "PageDown", "ArrowDown"]) {
      seen.push(await step(page));
      await drawn(page);
      expect(await faintOrSmall(page), String(seen.at(-1))).toEqual([]);
      // The truth shows nowhere before it is asked for; where the tone was meant to be, always.
      const told = seen.length > 2;
      expect(await page.locator(".wall .truth").count()).toBe(told ? 1 : 0);
      expect((await page.locator(".wall").textContent())?.includes("11-bracket")).toBe(
        seen.at(-1) === "reveal",
      );
      expect(await page.locator(".wall .lane").count()).toBe(1);
      expect(await page.locator(".wall .wall-shown svg.region").count()).toBe(1);
      if (seen.at(-1) === "predict") {
        await page.keyboard.type("7");
        await page.keyboard.press("Enter");
        await page.keyboard.type("12");
        await page.keyboard.press("ArrowUp");
        await page.locator(".wall-answer[data-answer=over] button", { hasText: "+" }).click();
        expect(await page.locator(".ghost text").allTextContents()).toEqual(["7", "13", "1"]);
        expect(await violationsOf(page)).toEqual([]);
      }
      if (seen.at(-1) === "reveal") {
        expect(await page.locator(".ghost text").allTextContents()).toEqual(["7", "13", "1"]);
        expect(await page.locator(".wall-right").textContent()).toBe("1 of 21 predicted it.");
      }
      await page.keyboard.press(key);
    }
    expect(seen).toEqual(["look", "predict", "reveal", "why"]);

    // Back once, and the hands are still up.
    await page.keyboard.press("ArrowLeft");
    expect(await step(page)).toBe("why");
    await drawn(page);
    expect(await page.locator(".ghost text").allTextContents()).toEqual(["7", "13", "1"]);
    await page.keyboard.press(" ");
    await page.keyboard.press(" ");
    expect(await step(page)).toBe("predict");
    await page.locator(".wall-answer[data-answer=within] input").fill("4");
    await page.keyboard.press("PageDown");
    expect(await page.locator(".wall-verdict").textContent()).toMatch(/Within$/);
    await drawn(page);
    expect(await faintOrSmall(page)).toEqual([]);
    await page.keyboard.press("PageDown");
    expect(await step(page)).toBe("summary");
    expect(await page.locator(".wall-total").textContent()).toBe(
      "5 of 25 predictions were right. Hardest: Frame 3, 1 of 21.",
    );
    expect(await page.locator(".wall-sum td.is-right").allTextContents()).toEqual(["1", "4"]);
    expect(await faintOrSmall(page)).toEqual([]);
    expect(await violationsOf(page)).toEqual([]);
    await page.keyboard.press("Escape");
    expect(await page.locator(".wall").count()).toBe(0);
    expect(await page.locator("[inert]").count()).toBe(0);
    expect(complaints).toEqual([]);
    await page.close();
  }, 120_000);
});

/**
 * What on the wall cannot be read from the back row: type below 4 % of its height, words and strokes with less contrast
 * than 7:1, strokes below 4 pixels, and whatever reaches beyond the screen.
 */
async function faintOrSmall(page: Page): Promise<string[]> {
  await page.locator(".wall").waitFor();
  return page.evaluate(() => {
    // biome-ignore lint: tests know no browser's types
    const { document, getComputedStyle, innerHeight, innerWidth } = globalThis as any;
    const channels = (colour: string): number[] => (colour.match(/[\d.]+/g) ?? []).map(Number);
    const light = (colour: string): number => {
      const [red = 0, green = 0, blue = 0] = channels(colour).map((code) => {
        const share = code / 255;
        return share <= 0.03928 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
      });
      return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    };
    const contrast = (one: string, other: string): number => {
      const [a, b] = [light(one), light(other)].sort((x, y) => y - x) as [number, number];
      return (a + 0.05) / (b + 0.05);
    };
    // biome-ignore lint: tests know no browser's types
    const groundOf = (element: any): string => {
      for (let one = element; one; one = one.parentElement) {
        const { backgroundColor } = getComputedStyle(one);
        if (channels(backgroundColor)[3] !== 0) return backgroundColor;
      }
      return "rgb(255, 255, 255)";
    };
    const found: string[] = [];
    for (const element of document.querySelectorAll(".wall *")) {
      const style = getComputedStyle(element);
      const box = element.getBoundingClientRect();
      const name = `${element.tagName} ${element.getAttribute("class")} ${element.textContent?.slice(0, 20)}`;
      const drawn = element.closest(".wall-ruler");
      const speaks = [...element.childNodes].some(
        // biome-ignore lint: tests know no browser's types
        (node: any) => node.nodeType === 3 && node.textContent.trim() !== "",
      );
      if (speaks || element.tagName === "INPUT") {
        const size = Number.parseFloat(style.fontSize);
        const ink = drawn ? style.fill : style.color;
        if (element.type !== "checkbox" && size < 0.04 * innerHeight)
          found.push(`${name}: ${size} px`);
        if (contrast(ink, groundOf(element)) < 7)
          found.push(`${name}: ${ink} on ${groundOf(element)}`);
      }
      if (
        drawn &&
        style.stroke !== "none" &&
        /^(line|path|rect|circle|polygon)$/.test(element.tagName)
      ) {
        const width = Number.parseFloat(style.strokeWidth);
        if (width < 4) found.push(`${name}: a stroke of ${width} px`);
        const filled = style.fill === "none" ? style.stroke : style.fill;
        const strongest = Math.max(
          ...[style.stroke, filled].map((ink) => contrast(ink, groundOf(element))),
        );
        if (strongest < 7) found.push(`${name}: ${style.stroke}, ${style.fill}`);
      }
      const outside = box.right > innerWidth + 1 || box.bottom > innerHeight + 1;
      if (outside && box.width > 0 && !element.closest(".wall-list"))
        found.push(`${name}: outside`);
    }
    return found;
  });
}
