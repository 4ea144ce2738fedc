import { copyFile, mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import {
  type CheckResult,
  checkReport,
  checkSets,
  gradeFrame,
  type PageOptions,
} from "@tonefall/grader";
import type { BrowserContext } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { typeset } from "../packages/grader/src/output/page/pageWords.ts";
import { hasBrowser, openBrowser, withoutBrowser } from "./browser.ts";
import { openedPage, violationsOf } from "./openedPage.ts";
import { flat, METERED_EXIF, newFolder } from "./pictures.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");

/** What the page's numbers may differ by from the command's on one region, stops: what reports promise. */
const AGREEMENT_STOPS = 0.05;

/** Enough of the harbour to have every relation, and what can go wrong: claims that do not hold, a frame not there. */
const BROKEN = `set: "<b>Broken</b> & \\"told\\""
frames:
  dark:
    file: 01-tarred-hull-as-metered.jpg
    regions: { hull: spot, quay: "box:0.6,0.84,0.3,0.12" }
    claims:
      - falls: { region: hull, place: tar }
      - error: { region: quay, place: 0, lies: at least 1.5 }
  dark-corrected: { file: 02-tarred-hull-corrected.jpg, like: dark, claims: [{ falls: { region: hull, place: tar } }] }
  "<script>lost</script>": { file: not-there.jpg, claims: [{ falls: { place: 0 } }] }
relations:
  - correction: { from: dark, to: dark-corrected, by: -1, region: hull, place: tar }
  - tonal-pair: { frame: dark, regions: [hull, quay] }
`;

const OTHER = `set: Another
frames: { wall: { file: wall.jpg, claims: [{ falls: { region: "box:0.25,0.3,0.5,0.45", place: limewash } }] } }
`;

let folder = "";
let browser: BrowserContext;
let close: () => Promise<void>;
let whole: CheckResult;
let broken: CheckResult;

/** Checks as the command does, and writes the report. */
async function report(
  sets: readonly string[],
  name: string,
  options: PageOptions = {},
): Promise<CheckResult> {
  const page = await checkReport(join(folder, name), options);
  try {
    const result = await checkSets(sets, { watch: page });
    await page.write(result);
    return result;
  } finally {
    await page.close();
  }
}

beforeAll(async () => {
  folder = await newFolder();
  if (!hasBrowser) return;
  ({ browser, close } = await openBrowser());
  const set = join(folder, "Anna Example");
  await mkdir(set);
  for (const file of ["01-tarred-hull-as-metered.jpg", "02-tarred-hull-corrected.jpg"]) {
    await copyFile(join(HARBOUR, file), join(set, file));
  }
  await flat(118).withExif(METERED_EXIF).jpeg().toFile(join(set, "Anna not named.jpg"));
  await writeFile(join(set, "set.yaml"), BROKEN);
  whole = await report([join(HARBOUR, "set.yaml")], "harbour.html");
  await mkdir(join(set, "other"));
  await copyFile(join(HARBOUR, "06-limewash-corrected.jpg"), join(set, "other/wall.jpg"));
  await writeFile(join(set, "other/set.yaml"), OTHER);
  broken = await report([join(set, "set.yaml"), join(set, "other/set.yaml")], "broken.html");
  await report([join(set, "set.yaml")], "anonymous.html", { anonymous: true });
}, 240_000);
afterAll(async () => {
  await close?.();
  await rm(folder, { recursive: true });
});

const opened = (name: string): ReturnType<typeof openedPage> =>
  openedPage(browser, join(folder, name));

describe.skipIf(!hasBrowser)(`the report of a check${withoutBrowser}`, () => {
  test("opens from disk without a complaint; every frame has one card, every relation a sheet", async () => {
    const { page, complaints } = await opened("harbour.html");
    expect(await page.locator("article.frame").count()).toBe(30);
    const kinds = await page
      .locator(".sheet")
      .evaluateAll((all) => all.map((one) => one.getAttribute("data-kind")));
    expect(kinds).toEqual([
      "bracket",
      "equivalent",
      "recompose",
      "correction",
      "correction",
      "same-rendering",
      "tonal-pair",
    ]);
    expect(await page.locator(".all-kept").textContent()).toContain("Every claim is kept");
    expect(await page.locator(".counts").textContent()).toContain(`${whole.summary.claims} claims`);
    // What is kept is a row that opens to the same card as a report's.
    const row = await page.locator("#frame-1").boundingBox();
    expect(row?.height).toBe(72);
    await page.locator("#frame-1 summary").first().click();
    const card = await page.locator("#frame-1").boundingBox();
    expect(card?.height).toBeLessThanOrEqual(700);
    await page.locator("#frame-1 .spot-open").click();
    await page.locator("#frame-1 .spot").waitFor();
    expect(await violationsOf(page)).toEqual([]);
    expect(complaints).toEqual([]);
    await page.close();
  }, 120_000);

  test("every row of the result is on the page with what was expected, found and its line", async () => {
    const { page } = await opened("broken.html");
    const rows = broken.sets[0]?.rows ?? [];
    expect(rows.filter(({ outcome }) => outcome !== "kept").length).toBeGreaterThan(4);
    const folded = await page.locator("table.frames details li").allTextContents();
    for (const { id, expected, measured, line } of rows) {
      const row = page.locator("table.frames tbody tr", {
        has: page.locator("td:nth-child(2)", { hasText: id }),
      });
      // A claim that rests on a missing picture stands below the row of that picture.
      if (folded.some((text) => text.startsWith(`${id}, `))) {
        expect(folded).toContain(`${id}, line ${line}: ${typeset(expected)}`);
        continue;
      }
      const cells = await row.first().locator("td").allTextContents();
      expect(cells[5]).toBe(typeset(expected));
      expect(cells[6]).toBe(measured === null ? "–" : typeset(measured));
      expect(cells[7]).toMatch(new RegExp(`set\\.yaml:${line}$`));
    }
    await page.close();
  });

  test("on a phone no table scrolls sideways, each cell says of which column it is, and tables stay tables", async () => {
    const { page } = await opened("broken.html");
    await page.setViewportSize({ width: 360, height: 780 });
    await page.locator("#frame-1 .folds .fold > summary").first().press("Enter");
    await page.locator("#frame-1 table.stacks").waitFor();
    for (const width of [360, 768]) {
      await page.setViewportSize({ width, height: 780 });
      const beyond = await page.$$eval("html, .table-scroll, .claims-scroll", (all) =>
        all
          .filter((place) => place.scrollWidth > place.clientWidth)
          .map((place) => place.className),
      );
      expect(beyond, `${width} pixels`).toEqual([]);
    }
    expect(await page.locator('.stacks td[data-label="Found"]:visible').count()).toBeGreaterThan(5);
    const debug = await page.context().newCDPSession(page);
    const { nodes } = await debug.send("Accessibility.getFullAXTree");
    const named = (role: string) =>
      nodes
        .filter((node) => !node.ignored && node.role?.value === role)
        .map(({ name }) => String(name?.value));
    expect(named("table")[0]).toMatch(/^Every claim/);
    expect(named("columnheader")).toContain("Found");
    expect(named("cell").length).toBeGreaterThan(8 * 5);
    // The column's name is for the eye: who hears the table hears it already.
    expect(named("cell").filter((name) => /^(Found|Expected) /.test(name))).toEqual([]);
    await page.close();
  });

  test("claims that rest on one missing picture are one line, and what comes first says what it is about, not a code", async () => {
    const { page } = await opened("broken.html");
    const rows = broken.sets[0]?.rows ?? [];
    const lost = rows.filter(({ frames }) => frames.includes("<script>lost</script>"));
    expect(lost.length).toBeGreaterThan(1);
    const told = page.locator("table.frames tbody tr", { hasText: "lost</script>" });
    expect(await told.count()).toBe(1);
    expect(await told.locator("details li").count()).toBe(lost.length - 1);
    const names = await page.locator(".causes strong").allTextContents();
    expect(names).toContain("Frame 1, dark");
    for (const { id } of rows) expect(names).not.toContain(id);
    const text = (await page.locator("main").textContent()) ?? "";
    expect(text).not.toContain(folder);
    await page.close();
  });

  test("what needs eyes comes first, beside the axis and in the table, each leading to its card", async () => {
    const { page, complaints } = await opened("broken.html");
    const outcomes = await page
      .locator("table.frames tbody tr")
      .evaluateAll((all) =>
        all.map(
          (row) =>
            (row as unknown as { cells: { dataset: { sort: string } }[] }).cells[3]?.dataset.sort,
        ),
      );
    const open = outcomes.filter((outcome) => outcome !== "kept");
    expect(open.length).toBeGreaterThan(3);
    expect(outcomes.slice(0, open.length)).not.toContain("kept");
    expect(outcomes.slice(open.length).every((outcome) => outcome === "kept")).toBe(true);
    expect(outcomes[0]).toBe("not run");
    const links = page.locator(".causes a, .axis.wide a");
    expect(await links.count()).toBeGreaterThan(0);
    for (const link of await links.all()) {
      const to = (await link.getAttribute("href")) ?? "";
      expect(await page.locator(to).count(), to).toBe(1);
    }
    await page.locator(".counts a", { hasText: "not run" }).click();
    expect(await page.locator("article.frame:visible").count()).toBe(1);
    expect(await page.locator("article.sheet:visible").count()).toBe(0);
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("keys lead through the frames with an open claim, and a link to a frame opens its card", async () => {
    const { page } = await opened("broken.html");
    const open = await page
      .locator("article.frame:not([data-open='0'])")
      .evaluateAll((all) => all.map(({ id }) => id));
    expect(open.length).toBeGreaterThan(1);
    for (const id of open) {
      await page.keyboard.press("j");
      expect(await page.evaluate("document.activeElement.id")).toBe(id);
    }
    const kept = page.locator("article.frame[data-open='0']").first();
    expect(await kept.locator(".picture").isVisible()).toBe(false);
    await page.evaluate(`location.hash = "${await kept.getAttribute("id")}"`);
    await kept.locator(".picture").waitFor();
    await page.close();
  });

  test("names of sets and frames are text", async () => {
    const { page } = await opened("broken.html");
    expect(await page.locator(".sets b").count()).toBe(0);
    expect(await page.locator("h3", { hasText: "<script>lost</script>" }).count()).toBe(1);
    await page.close();
  });

  test("the spot begins on the set's region, reads what the command reads, and is kept under the set's name", async () => {
    const { page } = await opened("harbour.html");
    await page.locator("#frame-29 summary").first().click();
    await page.locator("#frame-29 .spot-open").click();
    await page.locator("#frame-29 .answer data").waitFor();
    const { fall } = await gradeFrame(join(HARBOUR, "29-slip-and-boathouse.dng"), {
      region:
        /region: "([^"]+)"/.exec(
          (await page.locator("#frame-29 .pick code").textContent()) ?? "",
        )?.[1] ?? "",
    });
    const told = await page.locator("#frame-29 .answer data").getAttribute("value");
    expect(Math.abs(Number(told) - (fall?.stops ?? Number.NaN))).toBeLessThan(AGREEMENT_STOPS);
    await page.locator("#frame-29 .pick summary").click();
    await page.locator("#frame-29 .pick button").click();
    await page.selectOption("#picked select", "set");
    const kept = await page.locator("#picked textarea").inputValue();
    expect(kept).toContain('"slip-sensor":');
    await page.close();
  });

  test("a class predicts on the wall where tones fall without a placement", async () => {
    const { page } = await opened("harbour.html");
    await page.locator(".sheet[data-kind=same-rendering] .wall-open").click();
    for (let frame = 0; frame < 3; frame++) {
      await page.keyboard.press(" ");
      await page.locator(".wall-answer[data-answer=within] input").fill("1");
      await page.keyboard.press(" ");
      expect(await page.locator(".wall-verdict").textContent()).toMatch(/middle grey$/);
      await page.keyboard.press(" ");
    }
    expect(await page.locator(".wall-total").textContent()).toBe("3 of 3 predictions were right.");
    await page.close();
  });

  test("prints the overview, what is open, and the rest as a contact sheet", async () => {
    const { page } = await opened("harbour.html");
    const pdf = await page.pdf({ format: "A4" });
    const papers = pdf.toString("latin1").match(/\/Type \/Page\b/g)?.length ?? 0;
    expect(papers).toBeGreaterThan(1);
    expect(papers).toBeLessThanOrEqual(4);
    await page.close();
  }, 120_000);

  test("an anonymous page names no file, no folder, no frame and no set", async () => {
    const text = await readFile(join(folder, "anonymous.html"), "utf8");
    expect(text).not.toMatch(
      /Anna[^a-z0-9+/]|tarred-hull|dark-corrected|Broken|lost&lt;|not-there/,
    );
    expect(text).toContain("F002");
    expect(text).toContain("extra file 1");
    expect(text).toContain("Set 1");
  });
});
