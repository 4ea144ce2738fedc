import { copyFile, mkdir, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { basename, join, resolve } from "node:path";
import {
  checkSets,
  type FrameResult,
  gradeFrame,
  gradeFrames,
  type PageOptions,
  pageReport,
  readBriefFile,
} from "@tonefall/grader";
import { Ajv2020 } from "ajv/dist/2020.js";
import type { BrowserContext } from "playwright-core";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { parse } from "yaml";
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
  options: PageOptions = {},
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
    expect(await page.locator("article.card").count()).toBe(rows.length);
    expect(await page.locator(".counts").textContent()).toMatch(
      /lighter[\s\S]*darker[\s\S]*within/,
    );
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("axe finds no violation, with a spot in use", async () => {
    const { page, complaints } = await opened("harbour.html");
    await page.locator("#frame-1 .spot-open").click();
    await page.locator("#frame-1 summary").first().click();
    expect(await violationsOf(page)).toEqual([]);
    expect(complaints).toEqual([]);
    await page.close();
  }, 120_000);

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

  test("the pointer drags the spot, and the other picture follows", async () => {
    const { page } = await opened("harbour.html");
    await page.locator("#frame-1 .spot-open").click();
    const shown = page.locator("#frame-1 .spot-tool .shown").first();
    await shown.scrollIntoViewIfNeeded();
    const before = await page.locator("#frame-1 .answer").textContent();
    const exposed = (): Promise<string> =>
      page
        .locator("#frame-1 .spot-tool canvas")
        .nth(1)
        .evaluate((canvas) => (canvas as unknown as { toDataURL(): string }).toDataURL());
    const pictureBefore = await exposed();
    const box = await shown.boundingBox();
    if (!box) throw new Error("the spot's picture is not laid out");
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height * 0.85, { steps: 4 });
    await page.mouse.up();
    expect(await page.locator("#frame-1 .answer").textContent()).not.toBe(before);
    expect(await exposed()).not.toBe(pictureBefore);
    await page.close();
  });

  test("a kept line is a brief that the command takes, for that file and region", async () => {
    const { page } = await opened("harbour.html");
    await page.locator("#frame-5 .spot-open").click();
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
      await page.locator(`#frame-${frame} .pick input`).fill(place);
      await page.locator(`#frame-${frame} .pick button`).click();
    };
    await page.locator("#frame-1 .spot-open").click();
    await keep(1, "0");
    await page.locator("#frame-1 .handle").press("Shift+ArrowDown");
    await keep(1, "");
    await page.locator("#frame-6 .spot-open").click();
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

  test("filters and sorting show what they say", async () => {
    const { page } = await opened("harbour.html");
    const darker = rows.filter(({ verdict }) => verdict === "under").length;
    await page.selectOption("select[name=filter-0]", "darker");
    expect(await page.locator("table.frames tbody tr:visible").count()).toBe(darker);
    expect(await page.locator("article.card:visible").count()).toBe(darker);
    expect(await page.locator(".shown-count").textContent()).toBe(
      `${darker} of ${rows.length} frames shown`,
    );
    await page.locator(".filters button").click();
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

  test("prints every frame", async () => {
    const { page } = await opened("harbour.html");
    const pdf = await page.pdf({ format: "A4" });
    const sheetsOfPaper = pdf.toString("latin1").match(/\/Type \/Page\b/g)?.length ?? 0;
    expect(sheetsOfPaper).toBeGreaterThan(rows.length / 2);
    await page.emulateMedia({ media: "print" });
    for (const card of await page.locator("article.card h3").all()) {
      expect(await card.isVisible()).toBe(true);
    }
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
    await page.locator("#frame-1 summary", { hasText: "Settings" }).click();
    expect(await page.locator("#frame-1 .more").textContent()).toContain("</script><script>");
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
    const text = await readFile(join(folder, "anonymous.html"), "utf8");
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
    const text = await readFile(join(folder, "none.html"), "utf8");
    expect(text).not.toMatch(/<img|-light"/);
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
    const told = Number(await page.locator("#frame-1 .answer data").getAttribute("value"));
    expect(Math.abs(told - (row?.fall?.stops ?? Number.NaN))).toBeLessThan(AGREEMENT_STOPS);
    // The frame as shot is drawn from light as the picture itself is shown: in sRGB's colours.
    const colours = await page.evaluate(async () => {
      const { document } = globalThis as unknown as {
        document: {
          querySelector(selector: string): object;
          createElement(name: string): {
            width: number;
            height: number;
            getContext(kind: string): {
              drawImage(of: object, x: number, y: number, w: number, h: number): void;
              getImageData(x: number, y: number, w: number, h: number): { data: number[] };
            };
          };
        };
      };
      return ["#frame-1 .picture img", "#frame-1 .spot-tool canvas"].map((selector) => {
        const copy = document.createElement("canvas");
        copy.width = copy.height = 60;
        const context = copy.getContext("2d");
        context.drawImage(document.querySelector(selector), 0, 0, 60, 60);
        return [15, 45].flatMap((y) => [...context.getImageData(30, y, 1, 1).data].slice(0, 3));
      });
    });
    const [shown, drawn] = colours as [number[], number[]];
    expect(Math.max(...shown.map((code, i) => Math.abs(code - (drawn[i] as number))))).toBeLessThan(
      SAME_COLOUR_CODES,
    );
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

  test("what cannot be read is a card that says why", async () => {
    const path = join(folder, "broken.jpg");
    await writeFile(path, "not a picture");
    await report([path], () => ({ place: 0 }), "broken.html");
    const { page, complaints } = await opened("broken.html");
    expect(await page.locator("#frame-1").textContent()).toContain("Not graded");
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("one that one file cannot hold is an index and pages, every link leading to its card", async () => {
    const paths = [1, 2, 3].map((n) => join(folder, `part ${n}.jpg`));
    for (const path of paths) await flat(118).withExif(METERED_EXIF).jpeg().toFile(path);
    await mkdir(join(folder, "split"));
    await report(paths, () => ({ place: 0 }), "split/big set.html", { mostBytes: 40_000 });
    expect((await readdir(join(folder, "split"))).sort()).toEqual([
      "big set-frames",
      "big set.html",
    ]);
    expect((await readdir(join(folder, "split/big set-frames"))).length).toBeGreaterThan(1);
    const { page, complaints } = await opened("split/big set.html");
    await page.locator("table.frames a").last().click();
    await page.locator("#frame-3").waitFor();
    expect(page.url()).toMatch(/big%20set-frames\/\d+\.html#frame-3$/);
    await page.getByRole("link", { name: "Overview" }).click();
    await page.locator("table.frames").waitFor();
    expect(complaints).toEqual([]);
    await page.close();
  });
});
