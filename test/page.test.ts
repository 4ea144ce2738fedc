import { copyFile, mkdir, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { basename, join, resolve } from "node:path";
import { inflateSync } from "node:zlib";
import {
  checkSets,
  type FrameResult,
  gradeFrame,
  gradeFrames,
  pageReport,
  type ReportOptions,
  readBriefFile,
} from "@tonefall/grader";
import { Ajv2020 } from "ajv/dist/2020.js";
import type { BrowserContext, Page } from "playwright-core";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { parse } from "yaml";
import { median, SRGB } from "../packages/tone-core/src/index.ts";
import { hasBrowser, openBrowser, withoutBrowser } from "./browser.ts";
import { openedPage, violationsOf } from "./openedPage.ts";
import { flat, METERED_EXIF, newFolder, picture } from "./pictures.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");
const SET_SCHEMA = resolve(import.meta.dirname, "../packages/grader/schema/set.schema.json");

/** What the page's numbers may differ by from the command's on one region, stops: what reports promise. */
const AGREEMENT_STOPS = 0.05;

/** Codes that a small JPEG and a canvas may differ by in a flat colour; P3 read as sRGB is off by more than 15. */
const SAME_COLOUR_CODES = 5;

/** Names and captions that would like to be more than text. */
const HOSTILE = [
  "<script>document.title='owned'<",
  `"><img src=x onerror=document.title='owned'>`.replaceAll("/", ""),
  "a'b&amp;c \u202egpj.exe",
];
const CAPTION = `</script><script>document.title="owned"</script>${"long ".repeat(800)}`;

let folder = "";
let close: () => Promise<void>;
let browser: BrowserContext;
let rows: FrameResult[] = [];

/** Grades as the command does, and writes the report. */
async function report(
  paths: readonly string[],
  briefOf: (path: string) => object,
  name: string,
  options: ReportOptions = {},
): Promise<FrameResult[]> {
  const page = await pageReport(join(folder, name), paths, options);
  const graded: FrameResult[] = [];
  const run = { histograms: true, look: page.look };
  try {
    for await (const row of gradeFrames(paths, (source) => briefOf(String(source)), run)) {
      await page.add(row);
      graded.push(row);
    }
    await page.write();
  } finally {
    await page.close();
  }
  return graded;
}

/** A page with what is packed in it as text. */
const unfolded = (text: string): string =>
  text.replace(/(<script[^>]* class="packed">)([^<]*)/g, (_, head, packed) => {
    return head + inflateSync(Buffer.from(packed, "base64")).toString();
  });

/** After the page has drawn what was asked last. */
const drawn = (page: Page): Promise<unknown> =>
  page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))");

/** Codes of 12 x 12 places of pictures, in the page. */
const pixelsOf = (
  selectors: readonly string[],
): string => `${JSON.stringify(selectors)}.map((selector) => {
  const copy = document.createElement("canvas");
  copy.width = copy.height = 12;
  const context = copy.getContext("2d");
  context.imageSmoothingQuality = "high";
  context.drawImage(document.querySelector(selector), 0, 0, 12, 12);
  return [...context.getImageData(0, 0, 12, 12).data].filter((_, i) => i % 4 < 3);
})`;

const opened = (name: string): ReturnType<typeof openedPage> =>
  openedPage(browser, join(folder, name));

beforeAll(async () => {
  folder = await newFolder();
  if (!hasBrowser) return;
  ({ browser, close } = await openBrowser());
  const brief = await readBriefFile(join(HARBOUR, "brief.yaml"));
  const truth = JSON.parse(await readFile(join(HARBOUR, "truth.json"), "utf8"));
  const paths = truth.frames.map(({ file }: { file: string }) => join(HARBOUR, file));
  rows = await report(paths, (path) => brief.briefFor(path, HARBOUR), "harbour.html");
});
afterAll(async () => {
  await close?.();
  await rm(folder, { recursive: true });
});

describe.skipIf(!hasBrowser)(`the report of the samples${withoutBrowser}`, () => {
  test("opens from disk without a complaint or a request, and holds every frame", async () => {
    const { page, complaints } = await opened("harbour.html");
    expect(await page.locator("article.frame").count()).toBe(rows.length);
    expect(await page.locator(".counts").textContent()).toMatch(
      /lighter[\s\S]*darker[\s\S]*within/,
    );
    expect(complaints).toEqual([]);
    await page.close();
  });

  test.each(["light", "dark"] as const)(
    "axe finds no violation in the %s, with a spot in use and folds drawn",
    async (colorScheme) => {
      const { page, complaints } = await opened("harbour.html");
      await page.emulateMedia({ colorScheme });
      await page.locator("#frame-1 .spot-open").click();
      for (const fold of await page.locator("#frame-5 .folds summary").all()) await fold.click();
      await page.locator(".all-figures summary").click();
      await page.locator("table.frames th button").first().waitFor();
      await page.locator("#frame-2 summary").first().click();
      expect(await violationsOf(page)).toEqual([]);
      expect(complaints).toEqual([]);
      await page.close();
    },
    120_000,
  );

  test("a miss is a card of one screen, and what holds a row of 72 pixels that opens to the same", async () => {
    const { page } = await opened("harbour.html");
    await page.setViewportSize({ width: 1440, height: 900 });
    const heightOf = (id: string): Promise<number> =>
      page
        .locator(id)
        .evaluate((card) => (card as unknown as { offsetHeight: number }).offsetHeight);
    for (const [i, { verdict, causes }] of rows.entries()) {
      const missed =
        (verdict === "over" || verdict === "under") && causes[0]?.code !== "bracket-step";
      await page.locator(`#frame-${i + 1}`).scrollIntoViewIfNeeded();
      const height = await heightOf(`#frame-${i + 1}`);
      if (missed) {
        expect(height).toBeGreaterThan(400);
        expect(height).toBeLessThanOrEqual(700);
      } else expect(height).toBe(72);
    }
    const [picture, card] = await Promise.all(
      ["#frame-1 .picture", "#frame-1 .frame-body"].map((part) => page.locator(part).boundingBox()),
    );
    expect((picture?.width ?? 0) / (card?.width ?? 1)).toBeGreaterThan(0.55);
    await page.locator("#frame-2 summary").first().click();
    expect(await heightOf("#frame-2")).toBeLessThanOrEqual(700);
    expect(await page.locator("#frame-2 .verdict").textContent()).toContain("Within");
    const overview = await page.locator(".overview").boundingBox();
    expect(overview?.height).toBeLessThan(760);
    await page.close();
  });

  test("no sentence of a card is said twice, and its one figure of each kind is on the ruler", async () => {
    const { page } = await opened("harbour.html");
    for (const id of ["frame-1", "frame-5", "frame-17"]) {
      const said = await page.locator(`#${id} .findings`).allTextContents();
      const sentences = said.join(" ").match(/[A-Z][^.]+\./g) ?? [];
      expect(new Set(sentences).size).toBe(sentences.length);
      expect(said.join(" ").match(/stops? too (light|dark)/g)).toHaveLength(1);
      expect(said.join(" ")).not.toMatch(/(^|\s)-\d/);
    }
    await page.close();
  });

  test("every frame stands on the axis once, at its error, and leads to its card", async () => {
    const { page } = await opened("harbour.html");
    const links = page.locator(".axis.wide a");
    expect(await links.count()).toBe(rows.filter(({ error }) => error).length);
    const first = await links.first().getAttribute("href");
    await links.first().focus();
    await page.keyboard.press("ArrowRight");
    const focused = await page.evaluate("document.activeElement.getAttribute('href')");
    expect(focused).not.toBe(first);
    await page.keyboard.press("Enter");
    await page.locator(`${focused}:focus`).waitFor();
    expect(await page.locator(`${focused} > details`).getAttribute("open")).not.toBeNull();
    // One tab stop for all of them.
    expect(await page.locator(".axis.wide a[tabindex='0']").count()).toBe(1);
    await page.close();
  });

  test("filters, groups and what is open live in the address; keys go from miss to miss", async () => {
    const { page, complaints } = await opened("harbour.html");
    const darker = rows.filter(({ verdict }) => verdict === "under").length;
    await page.locator(".counts a", { hasText: "darker" }).click();
    expect(await page.locator("article.frame:visible").count()).toBe(darker);
    expect(await page.locator(".bar-status").textContent()).toBe(
      `${darker} of ${rows.length} shown`,
    );
    await page.selectOption("[name=by]", "worst");
    await page.locator("[name=q]").fill("bracket");
    const shown = await page.locator("article.frame:visible h3").allTextContents();
    expect(shown.length).toBeGreaterThan(0);
    expect(shown.every((name) => name.includes("bracket"))).toBe(true);
    await page.locator("article.frame:visible summary").first().click();
    // The address follows when the browser tells that the card is open.
    await page.waitForURL(/open=/);
    const { page: other } = await opened(`harbour.html`);
    await other.goto(page.url());
    await other.reload();
    expect(await other.locator("article.frame:visible h3").allTextContents()).toEqual(shown);
    expect(await other.locator("article.frame:visible details[open].frame-fold").count()).toBe(1);
    await other.locator(".counts a").first().click();
    await other.locator("[name=q]").fill("");
    await other.selectOption("[name=by]", "");
    await other.locator("h1").click();
    const gone: (string | null)[] = [];
    for (const key of ["j", "j", "k"]) {
      await other.keyboard.press(key);
      gone.push(await other.evaluate("document.activeElement.id"));
    }
    expect(gone).toEqual(["frame-1", "frame-5", "frame-1"]);
    expect(complaints).toEqual([]);
    await other.close();
    await page.close();
  });

  test("the table of all figures is drawn when it is opened, sorted by what is pressed", async () => {
    const { page } = await opened("harbour.html");
    expect(await page.locator("table.frames").count()).toBe(0);
    await page.locator(".all-figures summary").click();
    await page.locator("th button", { hasText: "Error" }).click();
    const errors = await page
      .locator("table.frames tbody tr")
      .evaluateAll((all) =>
        all.map((row) =>
          Number(
            (row as unknown as { cells: { dataset: { sort: string } }[] }).cells[6]?.dataset.sort,
          ),
        ),
      );
    expect(errors).toHaveLength(rows.length);
    expect(errors.filter(Number.isNaN)).toEqual([]);
    expect(errors).toEqual([...errors].sort((a, b) => a - b));
    expect(errors[0]).toBeLessThan(errors.at(-1) as number);
    await page.close();
  });

  test("keys alone reach the spot, move it and size it; its numbers are the command's", async () => {
    const { page } = await opened("harbour.html");
    await page.locator("#frame-1 .spot-open").focus();
    await page.keyboard.press("Enter");
    const reading = page.locator("#frame-1 .answer data");
    await reading.waitFor();
    const differences: number[] = [];
    const lines: string[] = [];
    for (const keys of [
      [],
      ["ArrowRight", "ArrowRight"],
      ["Shift+ArrowUp"],
      ["-", "-", "ArrowDown"],
    ]) {
      for (const key of keys) await page.keyboard.press(key);
      await drawn(page);
      const line = (await page.locator("#frame-1 .pick code").textContent()) ?? "";
      const region = /region: "([^"]+)"/.exec(line)?.[1] ?? "";
      const { fall } = await gradeFrame(join(HARBOUR, "01-tarred-hull-as-metered.jpg"), { region });
      const told = Number(await reading.getAttribute("value"));
      differences.push(Math.abs(told - (fall?.stops ?? Number.NaN)));
      lines.push(line);
    }
    expect(new Set(lines).size).toBe(4);
    expect(Math.max(...differences)).toBeLessThan(AGREEMENT_STOPS);
    await page.close();
  });

  test("a press anywhere on the picture reads there; what is pulled moves, and the opposite side stays", async () => {
    const { page } = await opened("harbour.html");
    const shown = page.locator("#frame-5 .shown");
    await shown.scrollIntoViewIfNeeded();
    const box = await shown.boundingBox();
    if (!box) throw new Error("the picture is not laid out");
    await page.mouse.click(box.x + box.width * 0.3, box.y + box.height * 0.3);
    await page.locator("#frame-5 .spot").waitFor();
    await drawn(page);
    const region = async (): Promise<number[]> => {
      const line = (await page.locator("#frame-5 .pick code").textContent()) ?? "";
      return (/box:([\d.,]+)/.exec(line)?.[1] ?? "").split(",").map(Number);
    };
    const before = await region();
    expect(before[0] ?? 1).toBeLessThan(0.2);
    const grip = await page.locator("#frame-5 .grip[data-side=right]").boundingBox();
    if (!grip) throw new Error("the grip is not laid out");
    await page.mouse.move(grip.x + 8, grip.y + 8);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width * 0.8, grip.y + 8, { steps: 4 });
    await drawn(page);
    const wide = await region();
    await page.mouse.move(box.x + 4, grip.y + 8, { steps: 4 });
    await page.mouse.up();
    await drawn(page);
    const narrow = await region();
    // Left side, top and height stay, however far the right side is pulled.
    for (const pulled of [wide, narrow]) {
      for (const side of [0, 1, 3]) expect(pulled[side]).toBeCloseTo(before[side] as number, 3);
    }
    expect(wide[2]).toBeGreaterThan(before[2] as number);
    expect(narrow[2]).toBeCloseTo(0.08, 3);
    const needle = await page.locator("#frame-5 .needle").getAttribute("x1");
    await page.locator("#frame-5 .spot").press("Shift+ArrowRight");
    await drawn(page);
    expect(await page.locator("#frame-5 .needle").getAttribute("x1")).not.toBe(needle);
    await page.keyboard.press("Escape");
    expect(await page.locator("#frame-5 .spot").count()).toBe(0);
    await page.close();
  });

  // The second is drawn from the sensor's light, the first from the picture's own codes.
  test.each([1, 29])(
    "frame %i is exposed again as its light scaled, while the button is held",
    async (number) => {
      const { page } = await opened("harbour.html");
      const card = `#frame-${number}`;
      if ((await page.locator(`${card} > details`).getAttribute("open")) === null) {
        await page.locator(`${card} summary`).first().click();
      }
      await page.locator(`${card} .spot-open`).click();
      await page.locator(`${card} .spot`).press("Shift+ArrowDown");
      await page.locator(`${card} [name=mark-clipped]`).uncheck();
      await page.locator(`${card} .hold`).focus();
      await page.keyboard.down(" ");
      await drawn(page);
      const stops = Number(await page.locator(`${card} .answer data`).getAttribute("value"));
      const [shot, exposed] = (await page.evaluate(
        pixelsOf([`${card} .picture img`, `${card} .picture canvas`]),
      )) as [number[], number[]];
      await page.keyboard.up(" ");
      expect(await page.locator(`${card} canvas`).count()).toBe(0);
      expect(Math.abs(stops)).toBeGreaterThan(0.2);
      const told = shot.flatMap((code, i) => {
        // White of the picture says at least: what was beyond it may come back from a sensor's light.
        if (code > 235 || code < 12) return [];
        const light = SRGB.linearise(code / 255) * 2 ** -stops;
        return [Math.abs(255 * SRGB.encode(Math.min(1, light)) - (exposed[i] as number))];
      });
      expect(told.length).toBeGreaterThan(20);
      expect(median(told)).toBeLessThan(SAME_COLOUR_CODES);
      await page.close();
    },
  );

  test("a kept line is a brief that the command takes, for that file and region", async () => {
    const { page } = await opened("harbour.html");
    await page.locator("#frame-5 .spot-open").click();
    await page.locator("#frame-5 .pick summary").click();
    await page.locator("#frame-5 .pick input").fill("+1 2/3");
    await page.locator("#frame-5 .pick button").click();
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.locator("#picked .save").click(),
    ]);
    const saved = join(folder, "picked.yaml");
    await download.saveAs(saved);
    const brief = await readBriefFile(saved);
    expect(brief.briefFor(join(HARBOUR, "05-limewash-as-metered.jpg"), HARBOUR)).toEqual({
      region: expect.stringMatching(/^box:0\.25,0\.3,0\.5,0\.45$/),
      place: "+1 2/3",
    });
    await page.close();
  });

  test("kept places are a set file that the command checks, several of them in one frame", async () => {
    const { page } = await opened("harbour.html");
    const keep = async (frame: number, place: string): Promise<void> => {
      await drawn(page);
      await page.locator(`#frame-${frame} .pick input`).fill(place);
      await page.locator(`#frame-${frame} .pick button`).click();
    };
    await page.locator("#frame-1 .spot-open").click();
    await page.locator("#frame-1 .pick summary").click();
    await keep(1, "0");
    await page.locator("#frame-1 .spot").press("Shift+ArrowDown");
    await keep(1, "");
    await page.locator("#frame-6 summary").first().click();
    await page.locator("#frame-6 .spot-open").click();
    await page.locator("#frame-6 .pick summary").click();
    await keep(6, "limewash");
    await page.selectOption("#picked select", "set");
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.locator("#picked .save").click(),
    ]);
    const shoot = join(folder, "shoot");
    await mkdir(shoot);
    for (const { file } of [rows[0], rows[5]] as FrameResult[]) {
      await copyFile(file, join(shoot, basename(file)));
    }
    await download.saveAs(join(shoot, "set.yaml"));
    const text = await readFile(join(shoot, "set.yaml"), "utf8");
    const schema = JSON.parse(await readFile(SET_SCHEMA, "utf8"));
    const validate = new Ajv2020({ strict: false }).compile(schema);
    expect(validate(parse(text)), JSON.stringify(validate.errors)).toBe(true);
    const { sets, summary } = await checkSets([join(shoot, "set.yaml")]);
    expect(sets[0]?.rows.map(({ id, outcome }) => [id, outcome])).toEqual([
      ["01-tarred-hull-as-metered.falls", "kept"],
      ["06-limewash-corrected.falls", "kept"],
    ]);
    expect(text.match(/pick-2/g)).toHaveLength(1);
    expect(summary.failing).toBe(0);
    await page.close();
  });

  test("prints 30 frames on at most 12 sheets of paper", async () => {
    const { page } = await opened("harbour.html");
    const pdf = await page.pdf({ format: "A4" });
    const papers = pdf.toString("latin1").match(/\/Type \/Page\b/g)?.length ?? 0;
    expect(rows).toHaveLength(30);
    expect(papers).toBeGreaterThan(4);
    expect(papers).toBeLessThanOrEqual(12);
    await page.close();
  }, 120_000);
});

describe.skipIf(!hasBrowser)(`what a report keeps to itself${withoutBrowser}`, () => {
  test("hostile names and captions are text", async () => {
    const set = join(folder, "hostile");
    await mkdir(set);
    const paths: string[] = [];
    for (const [i, name] of HOSTILE.entries()) {
      const path = join(set, `${i} ${name}.jpg`);
      await flat(118)
        .withExif({ ...METERED_EXIF, IFD0: { Make: CAPTION, Model: name } })
        .jpeg()
        .toFile(path);
      paths.push(path);
    }
    await report(paths, () => ({ place: 0 }), "hostile.html");
    const { page, complaints } = await opened("hostile.html");
    expect(await page.title()).toBe("Exposure report - Tonefall");
    expect(await page.locator("h3", { hasText: "<script>document.title='owned'<" }).count()).toBe(
      1,
    );
    expect(await page.locator("img[src=x]").count()).toBe(0);
    expect(await page.locator("h3", { hasText: "\u202e" }).count()).toBe(0);
    await page.locator("#frame-1 summary").first().click();
    await page.locator("#frame-1 .folds summary", { hasText: "Settings" }).click();
    await page.locator("#frame-1 .folds table").waitFor();
    expect(await page.locator("#frame-1 .folds").textContent()).toContain("</script><script>");
    const wide = await page.evaluate("document.documentElement.scrollWidth > innerWidth");
    expect(wide).toBe(false);
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("anonymous pages hold no file name and no time; pictures carry no metadata", async () => {
    const secret = join(folder, "Anna Example");
    await mkdir(secret);
    const files = ["01-tarred-hull-as-metered.jpg", "02-tarred-hull-corrected.jpg"];
    for (const file of files) await copyFile(join(HARBOUR, file), join(secret, `Anna ${file}`));
    await report(
      files.map((file) => join(secret, `Anna ${file}`)),
      () => ({ place: "tar", region: "spot" }),
      "anonymous.html",
      { anonymous: true },
    );
    const text = unfolded(await readFile(join(folder, "anonymous.html"), "utf8"));
    expect(text).not.toMatch(/Anna[^a-z0-9+/]|tarred-hull|captured at<\/th>/i);
    expect(text).toContain("F001");
    const jpegs = [...text.matchAll(/data:image\/jpeg;base64,([^"]+)/g)];
    expect(jpegs.length).toBeGreaterThan(1);
    for (const [, base64 = ""] of jpegs) {
      const { exif, xmp, iptc } = await sharp(Buffer.from(base64, "base64")).metadata();
      expect([exif, xmp, iptc]).toEqual([undefined, undefined, undefined]);
    }
  });

  test("--pictures none leaves nothing of the picture but its figures", async () => {
    const path = join(HARBOUR, "01-tarred-hull-as-metered.jpg");
    await report([path], () => ({ place: "tar" }), "none.html", { pictures: "none" });
    const text = unfolded(await readFile(join(folder, "none.html"), "utf8"));
    expect(text).not.toMatch(/<img|class="frame-light"/);
    expect(text).toContain("Encoded values");
  });
});

describe.skipIf(!hasBrowser)(`other reports${withoutBrowser}`, () => {
  test("turned and wide-gamut pictures are shown upright, their spot agreeing with the command", async () => {
    const half = (x: number): number[] => (x < 90 ? [50, 160, 30] : [200, 120, 100]);
    const path = join(folder, "turned.jpg");
    await picture(180, 120, half)
      .withMetadata({ orientation: 6, icc: "p3" })
      .jpeg({ quality: 95 })
      .toFile(path);
    const [row] = await report(
      [path],
      () => ({ place: 0, region: "box:0.2,0.1,0.6,0.3" }),
      "turned.html",
    );
    const { page } = await opened("turned.html");
    await page.locator("#frame-1 .spot-open").click();
    const reading = page.locator("#frame-1 .answer data");
    await reading.waitFor();
    const told = Number(await reading.getAttribute("value"));
    expect(Math.abs(told - (row?.fall?.stops ?? Number.NaN))).toBeLessThan(AGREEMENT_STOPS);
    const size = await page
      .locator("#frame-1 .picture img")
      .first()
      .evaluate((image) => {
        const { naturalWidth, naturalHeight } = image as unknown as {
          naturalWidth: number;
          naturalHeight: number;
        };
        return [naturalWidth, naturalHeight];
      });
    expect(size).toEqual([120, 180]);
    await page.close();
  });

  test("nothing placed, names without end, no picture: falls on the axis, names in place of pictures", async () => {
    const paths = [90, 118, 200].map((_, i) => join(folder, `${i}-${"long-".repeat(24)}${i}.jpg`));
    for (const [i, path] of paths.entries()) {
      await flat([60, 118, 200][i] as number)
        .withExif(METERED_EXIF)
        .jpeg()
        .toFile(path);
    }
    await report(paths, () => ({}), "measured.html", { pictures: "none", title: "<i>Week</i> 1" });
    const { page, complaints } = await opened("measured.html");
    expect(await page.locator("h1").textContent()).toBe("<i>Week</i> 1");
    expect(await page.locator(".axis.wide a").count()).toBe(3);
    expect(await page.locator(".axis.wide .lane").count()).toBe(0);
    expect(await page.locator(".axis.wide .blank-name").first().textContent()).toMatch(/^0-long/);
    expect(await page.locator(".sayings").textContent()).toContain("Measured, not judged");
    expect(await page.evaluate("document.documentElement.scrollWidth > innerWidth")).toBe(false);
    await page.setViewportSize({ width: 390, height: 844 });
    expect(await page.evaluate("document.documentElement.scrollWidth > innerWidth")).toBe(false);
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("cards of many frames are drawn as they come near, and wherever they are asked for", async () => {
    const paths = Array.from({ length: 61 }, (_, i) => join(folder, `many ${i + 1}.jpg`));
    const bytes = await flat(190).withExif(METERED_EXIF).jpeg().toBuffer();
    for (const path of paths) await writeFile(path, bytes);
    await report(paths, () => ({ place: 0, region: "spot" }), "many.html");
    const { page, complaints } = await opened("many.html");
    const drawnCards = (): Promise<number> => page.locator("article.frame .picture").count();
    await page.locator("#frame-1 .picture img").waitFor();
    expect(await page.locator("article.frame").count()).toBe(61);
    expect(await drawnCards()).toBeLessThan(40);
    await page.evaluate("location.hash = 'frame-61'");
    await page.locator("#frame-61 .spot-open").click();
    await page.locator("#frame-61 .spot").waitFor();
    expect(await drawnCards()).toBeLessThan(50);
    await page.evaluate("dispatchEvent(new Event('beforeprint'))");
    expect(await page.locator(".print-miss img").count()).toBe(61);
    await page.evaluate("dispatchEvent(new Event('afterprint'))");
    await page.locator("h1").click();
    await page.keyboard.press("p");
    expect(await page.locator(".wall-list img[src^='data:']").count()).toBe(61);
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("what cannot be read is a card that says why", async () => {
    const path = join(folder, "broken.jpg");
    await writeFile(path, "not a picture");
    await report([path], () => ({ place: 0 }), "broken.html");
    const { page, complaints } = await opened("broken.html");
    expect(await page.locator("#frame-1").textContent()).toContain("Not graded");
    // Without a picture the name has the row, on a phone too.
    await page.setViewportSize({ width: 360, height: 780 });
    const cut = await page
      .locator("#frame-1 h3")
      .evaluate((name) => name.scrollWidth - name.clientWidth);
    expect(cut).toBe(0);
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("one that one file cannot hold is an index and pages, every link leading to its card", async () => {
    const paths = [1, 2, 3].map((n) => join(folder, `part ${n}.jpg`));
    for (const path of paths) await flat(118).withExif(METERED_EXIF).jpeg().toFile(path);
    await mkdir(join(folder, "split"));
    await report(paths, () => ({ place: 0 }), "split/big set.html", { mostBytes: 12_000 });
    expect((await readdir(join(folder, "split"))).sort()).toEqual([
      "big set-frames",
      "big set.html",
    ]);
    expect((await readdir(join(folder, "split/big set-frames"))).length).toBeGreaterThan(1);
    const { page, complaints } = await opened("split/big set.html");
    await page.keyboard.press("p");
    expect(await page.textContent(".wall-note")).toMatch(/small pictures only/);
    await page.keyboard.press("Escape");
    await page.locator(".axis.wide a").last().click();
    await page.locator("#frame-3").waitFor();
    expect(page.url()).toMatch(/big%20set-frames\/\d+\.html#.*frame-3$/);
    await page.getByRole("link", { name: "Overview" }).click();
    await page.locator(".overview").waitFor();
    expect(complaints).toEqual([]);
    await page.close();
  });
});
