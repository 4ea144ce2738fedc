import { execFile } from "node:child_process";
import { readFile, rm, writeFile } from "node:fs/promises";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { basename, join } from "node:path";
import { pathToFileURL } from "node:url";
import { promisify } from "node:util";
import { gunzipSync } from "node:zlib";
import {
  exerciseOfBriefs,
  gradeFrame,
  handoutPage,
  readBriefFile,
  readSlip,
  type Slip,
} from "@tonefall/grader";
import type { BrowserContext, Page } from "playwright-core";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { hasBrowser, openBrowser, withoutBrowser } from "./browser.ts";
import { openedPage, violationsOf } from "./openedPage.ts";
import { firefox } from "./outside.mjs";
import { METERED_EXIF, newFolder, picture } from "./pictures.ts";
import { runTonefall } from "./runTonefall.ts";

const REGION = "circle:0.45,0.5,0.2";

/** A small picture, which the decoder is known to read. */
const HEIC = join(import.meta.dirname, "reference/heic/420.heic");

const RAW = join(import.meta.dirname, "../samples/harbour/29-slip-and-boathouse.dng");

/** Hostile in every place that a person types: nothing of it may run, load or turn a line round. */
const HOSTILE = `"<img src=http://x.test/a onerror=alert(1)>*.jpg": { place: -1, region: spot }
"</script><script>fetch('http://x.test')</script>*": { place: "+1" }
`;

let folder = "";
let browser: BrowserContext;
let close: () => Promise<void>;
const inside = (name: string): string => join(folder, name);

/** A noisy step from dark to light: no two regions of it have one tone. */
const scene = (width = 120, height = 80) =>
  picture(width, height, (x, y) => [40 + x, 60 + ((x * 7 + y * 13) % 90), 30 + y]);

/** The scene, more and more transparent from left to right. */
async function clear(): Promise<Buffer> {
  const codes = await scene().ensureAlpha().raw().toBuffer();
  for (let at = 3; at < codes.length; at += 4) codes[at] = 255 - 2 * (((at - 3) / 4) % 120);
  return codes;
}

const PICTURES: Readonly<Record<string, () => Promise<Buffer>>> = {
  "plain.jpg": () => scene().withExif(METERED_EXIF).jpeg().toBuffer(),
  "turned.jpg": () => scene().withMetadata({ orientation: 6 }).jpeg().toBuffer(),
  "grey.jpg": () => scene().toColourspace("b-w").jpeg().toBuffer(),
  "p3.jpg": () => scene().withIccProfile("p3").jpeg({ chromaSubsampling: "4:4:4" }).toBuffer(),
  "cut.jpg": async () => (await scene(400, 300).jpeg().toBuffer()).subarray(0, 4000),
  "deep.png": () => scene().toColourspace("rgb16").png().toBuffer(),
  "palette.png": () => scene().png({ palette: true, colours: 16 }).toBuffer(),
  "lossy.webp": () => scene().webp({ quality: 70 }).toBuffer(),
  "clear.webp": () =>
    clear()
      .then((codes) => sharp(codes, { raw: { width: 120, height: 80, channels: 4 } }))
      .then((made) =>
        made.withExif(METERED_EXIF).webp({ quality: 70, alphaQuality: 60 }).toBuffer(),
      ),
  "words.jpg": async () => Buffer.from("not a picture at all"),
};

beforeAll(async () => {
  folder = await newFolder();
  const briefs = {
    "open.yaml": '"dark-*": { place: -1 }\n',
    "week.yaml": `"**": { place: 0, region: "${REGION}" }\n`,
    "hostile.yaml": HOSTILE,
  };
  for (const [name, text] of Object.entries(briefs)) await writeFile(inside(name), text);
  for (const [name, make] of Object.entries(PICTURES)) await writeFile(inside(name), await make());
  if (hasBrowser) ({ browser, close } = await openBrowser());
});
afterAll(async () => {
  await close?.();
  await rm(folder, { recursive: true, force: true });
});

async function made(name: string, brief: string, ...flags: readonly string[]): Promise<string> {
  const { code, stderr } = await runTonefall([
    "handout",
    inside(brief),
    "-o",
    inside(name),
    ...flags,
  ]);
  expect([code, stderr]).toEqual([0, ""]);
  return inside(name);
}

/** Pages that tests share, by name. */
const pages = new Map<string, Promise<string>>();

function shared(name: string, brief: string, ...flags: readonly string[]): Promise<string> {
  const page = pages.get(name) ?? made(name, brief, ...flags);
  pages.set(name, page);
  return page;
}

/** The command's row of a file, as a slip has it: under the file's name alone. */
async function rowOf(path: string): Promise<unknown> {
  const bytes = new Uint8Array(await readFile(path));
  const brief = { place: 0, region: REGION };
  const row = await gradeFrame(bytes, brief, { name: basename(path), voice: "student" });
  return JSON.parse(JSON.stringify(row));
}

async function choose(page: Page, files: readonly string[], task = 1): Promise<void> {
  const before = await page.locator(".frame").count();
  await page.setInputFiles(`#task-${task}`, [...files]);
  await page.waitForFunction(
    (count) => document.querySelectorAll(".frame:not([aria-busy])").length === count,
    before + files.length,
    { timeout: 120_000 },
  );
}

/** What stands beside the pictures of what keeps their files from counting. */
function checksOf(page: Page): Promise<readonly (readonly [string, string])[]> {
  return page.$$eval(".check[data-code]", (all) =>
    all.map((each) => [each.getAttribute("data-code") ?? "", each.textContent ?? ""] as const),
  );
}

/** Which part of a page has the keyboard. */
function focused(page: Page): Promise<string> {
  return page.evaluate(() => {
    const { tagName, className, id } = document.activeElement as HTMLElement;
    return `${tagName.toLowerCase()}${id && `#${id}`}${className && `.${className.split(" ")[0]}`}`;
  });
}

async function savedSlip(page: Page): Promise<Slip> {
  const [download] = await Promise.all([page.waitForEvent("download"), page.click(".save")]);
  return readSlip(await readFile(await download.path(), "utf8"), download.suggestedFilename());
}

describe("tonefall handout", () => {
  test("writes one file within its size, that no output of another kind replaces", async () => {
    const plain = await readFile(await made("week.html", "week.yaml"));
    expect(plain.length).toBeLessThan(0.6 * 2 ** 20);
    const full = await readFile(await shared("full.html", "week.yaml", "--with", "raw,heic"));
    expect(full.length).toBeLessThan(2 * 2 ** 20);
    expect(plain.toString()).toMatch(/^<!doctype html>/);
    await made("week.html", "week.yaml");
    const onPicture = await runTonefall([
      "handout",
      inside("week.yaml"),
      "-o",
      inside("plain.jpg"),
    ]);
    expect(onPicture.code).toBe(2);
  });

  test("is the same from the library", async () => {
    const { entries } = await readBriefFile(inside("week.yaml"));
    const written = await readFile(await shared("week.html", "week.yaml"), "utf8");
    expect(await handoutPage(exerciseOfBriefs(entries, "week"))).toBe(written);
  });

  test("names whose code it carries, and has the words that their licences ask for", async () => {
    const exercise = exerciseOfBriefs([["**", { place: 0 }]], "week");
    const plain = carried(await handoutPage(exercise));
    for (const name of [
      "@jsquash/jpeg",
      "mozjpeg",
      "@jsquash/webp",
      "libwebp",
      "fast-png",
      "fflate",
      "@noble/hashes",
    ]) {
      expect(plain.list.some((line) => line.startsWith(`${name}`))).toBe(true);
    }
    expect(plain.list.join()).toMatch(/fast-png \d+\.\d+\.\d+ \(MIT\)\. Sources: https:/);
    expect(plain.words).toMatch(/work of the Independent JPEG Group/);
    expect(plain.words).toMatch(/Apache License\s+Version 2\.0/);
    expect(plain.list.join()).not.toMatch(/heif|LibRaw/);

    const full = carried(await handoutPage(exercise, { with: ["raw", "heic"] }));
    const added = full.list.filter((line) => !plain.list.includes(line)).join("\n");
    for (const line of [
      /^libheif-js \d[\d.]+ \(LGPL-3\.0\)/m,
      /^libheif, compiled in libheif-js \(LGPL-3\.0\)/m,
      /^libde265, .*\(LGPL-3\.0\)/m,
      /^libraw-wasm \d[\d.]+ \(ISC\)/m,
      /^LibRaw, compiled in libraw-wasm \(LGPL-2\.1\)/m,
    ]) {
      expect(added).toMatch(line);
    }
    expect(full.words).toMatch(/GNU LESSER GENERAL PUBLIC LICENSE\s+Version 3/);
    expect(full.words).toMatch(/GNU GENERAL PUBLIC LICENSE\s+Version 3[\s\S]+END OF TERMS/);
    expect(full.words).toMatch(
      /GNU LESSER GENERAL PUBLIC LICENSE\s+Version 2\.1[\s\S]+END OF TERMS/,
    );
    expect(new Set(full.list).size).toBe(full.list.length);
  });

  test("forbids every connection, whatever the brief says", async () => {
    const plain = await shared("hostile.html", "hostile.yaml");
    const full = await shared("full.html", "week.yaml", "--with", "raw,heic");
    for (const path of [plain, full]) {
      const text = await readFile(path, "utf8");
      const policy = /Content-Security-Policy" content="([^"]*)"/.exec(text)?.[1] ?? "";
      expect(policy).toMatch(/^default-src (?:'|&#39;)none/);
      expect(policy).not.toMatch(
        /connect-src|https?:|unsafe-inline|unsafe-eval(?<!wasm-unsafe-eval)/,
      );
      expect(text).not.toMatch(/<img src=http|<\/script><script>fetch/);
    }
  });

  test.each([
    [["handout"], /give one of them/],
    [["handout", "none.yaml"], /none\.yaml/],
    [["handout", "week.yaml", "--with", "tiff"], /raw or heic/],
    [["handout", "--class", "week.yaml"], /folder after -o/],
  ])("%j is refused with what to do", async (flags, message) => {
    const { code, stderr } = await runTonefall(
      flags.map((flag) => (/yaml$/.test(flag) ? inside(flag) : flag)),
    );
    expect(code).toBe(2);
    expect(stderr).toMatch(message);
  });
});

/** Whose code a page says it carries, line by line, and the words of their licences. */
function carried(page: string): { readonly list: readonly string[]; readonly words: string } {
  const fold = /<details class="about">[\s\S]*?<\/ul>/.exec(page)?.[0] ?? "";
  const list = [...fold.matchAll(/<li>(.*?)<\/li>/g)].map(([, line]) =>
    (line ?? "").replace(/<[^>]*>/g, ""),
  );
  const packed = /id="notices">([^<]*)</.exec(page)?.[1] ?? "";
  return { list, words: gunzipSync(Buffer.from(packed, "base64")).toString() };
}

describe.skipIf(!hasBrowser)(`the hand-in page${withoutBrowser}`, () => {
  test("gives the rows of the command, whole, and saves them in a slip", async () => {
    const { page, complaints } = await openedPage(browser, await shared("week.html", "week.yaml"));
    const names = Object.keys(PICTURES);
    await choose(page, names.map(inside));
    await page.fill("#student", "a 17/<b>");
    const slip = await savedSlip(page);
    expect(slip.student).toBe("a17b");
    expect([slip.signed, slip.verdictHidden, slip.exercise]).toEqual([false, false, "week"]);
    expect(slip.frames.map(({ row }) => row?.file)).toEqual(names);
    for (const [i, name] of names.entries()) {
      expect(slip.frames[i]?.row, name).toEqual(await rowOf(inside(name)));
    }
    expect(slip.frames.map(({ row }) => row?.failure?.code ?? null).filter(Boolean)).toEqual([
      "truncated",
      "not-a-picture",
    ]);
    const checks = (await checksOf(page)).map(([code]) => code);
    expect(checks).toContain("stripped");
    expect(checks).toContain("unreadable");
    await choose(page, [inside("plain.jpg")]);
    const twice = page.locator('[data-code="twice"]');
    expect(await twice.count()).toBe(1);
    await page.click(`.remove[aria-label="Remove ${names[0]}"] >> nth=0`);
    expect(await twice.count()).toBe(0);
    expect(await focused(page)).toBe("button.remove");
    for (const width of [390, 1024, 1440]) {
      await page.setViewportSize({ width, height: 900 });
      const beyond = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(beyond, `${width} pixels`).toBe(0);
    }
    await page.click(".about > summary");
    await page.click(".licences > summary");
    await page.waitForFunction(() => document.querySelector(".licences pre")?.textContent !== "");
    expect(await page.textContent(".licences pre")).toMatch(/Permission is hereby granted/);
    expect(await violationsOf(page)).toEqual([]);
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("measures where the student presses, or moves the mark by keys", async () => {
    const { page, complaints } = await openedPage(browser, await shared("open.html", "open.yaml"));
    await choose(page, [inside("plain.jpg")]);
    expect(await page.$$(".verdict")).toEqual([]);
    expect(await page.textContent("[role=status] ul")).toMatch(/press on the subject/);
    const before = (await savedSlip(page)).frames[0];
    expect([before?.region, before?.row]).toEqual([null, null]);
    await page.click(".pressable", { position: { x: 30, y: 20 } });
    await page.waitForSelector('.frame[data-region^="circle:0.0"]:not([aria-busy])');
    const pressed = (await savedSlip(page)).frames[0];
    expect(pressed?.regionFrom).toBe("student");
    expect(pressed?.row?.region).toMatch(/^circle:0\.0\d+,0\.0\d+,0\.06$/);
    await page.focus(".subject summary");
    await page.keyboard.press("Enter");
    await page.keyboard.press("Tab");
    await page.keyboard.press("End");
    await page.waitForSelector('.frame[data-region^="circle:0.94,"]:not([aria-busy])');
    expect((await savedSlip(page)).frames[0]?.row?.region).toMatch(/^circle:0\.94,/);
    // A phone loads a page again without asking: what was done is back with the picture.
    page.on("dialog", (dialog) => dialog.accept());
    await page.fill("#student", "s07");
    await page.reload();
    await page.reload();
    expect(await page.textContent(".wanted")).toMatch(/Choose this picture again.*: plain\.jpg\.$/);
    await page.setInputFiles("#task-1", [inside("plain.jpg")]);
    await page.waitForSelector('.frame[data-region^="circle:0.94,"]:not([aria-busy])');
    expect(await page.locator(".wanted:visible").count()).toBe(0);
    const again = await savedSlip(page);
    expect([again.student, again.frames[0]?.region?.slice(0, 12)]).toEqual(["s07", "circle:0.94,"]);
    await choose(page, [inside("words.jpg")]);
    expect(await page.locator(".subject:visible").count()).toBe(1);
    expect(await page.textContent("#hand-in [role=status]")).toMatch(
      /Everything is there\..*One picture does not count/,
    );
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("gives one advice for a file, and says when there are more pictures than asked for", async () => {
    const exercise = exerciseOfBriefs([["**", { place: 0, region: REGION }]], "week");
    const tasks = exercise.tasks.map((task) => ({ ...task, frames: 1 }));
    await writeFile(inside("one.html"), await handoutPage({ ...exercise, tasks }));
    await writeFile(inside("copy.gif"), await scene().gif().toBuffer());
    for (const [name, software] of [
      ["toned.jpg", "Tone Studio 3.1"],
      ["phone.jpg", "G991BXXU5CVDD Ver.1.00"],
    ] as const) {
      const exif = { ...METERED_EXIF, IFD0: { ...METERED_EXIF.IFD0, Software: software } };
      await writeFile(inside(name), await scene().withExif(exif).jpeg().toBuffer());
    }
    const { page, complaints } = await openedPage(browser, inside("one.html"));
    await choose(page, [inside("copy.gif"), inside("toned.jpg"), inside("phone.jpg")]);
    const checks = await checksOf(page);
    expect(checks.map(([code]) => code)).toEqual(["unreadable", "no-settings", "rewritten"]);
    expect(checks[0]?.[1]).toBe("This page cannot measure GIF files.");
    expect(checks[2]?.[1]).toMatch(/^“Tone Studio 3\.1” wrote this file\. If that is/);
    expect(await page.textContent("#hand-in [role=status]")).toMatch(
      /one picture was asked for, and 2 are here.*One picture does not count/,
    );
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("with --hide-verdict shows what is missing, and no tone; hostile words stay words", async () => {
    const path = await made("hidden.html", "hostile.yaml", "--hide-verdict");
    const { page, complaints } = await openedPage(browser, path);
    // A browser would leave the page for a picture that is dropped beside the tasks.
    const stays = await page.evaluate(() => {
      const given = new DataTransfer();
      given.items.add(new File(["picture"], "a.jpg"));
      const drop = new DragEvent("drop", { dataTransfer: given, bubbles: true, cancelable: true });
      return !document.querySelector("h1")?.dispatchEvent(drop);
    });
    expect(stays).toBe(true);
    expect(await page.locator(".frame").count()).toBe(0);
    await choose(page, [inside("plain.jpg")]);
    expect(await page.$$(".verdict, .ruler, .why")).toEqual([]);
    expect(await page.textContent(".found")).toMatch(/ready to hand in/);
    const slip = await savedSlip(page);
    expect(slip.verdictHidden).toBe(true);
    expect(slip.frames[0]?.row).toBeNull();
    expect(slip.frames[0]?.task).toMatch(/^<img src/);
    expect(await page.$$("main img")).toEqual([]);
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("lets the student guess first, from a static server too", async () => {
    const text = await readFile(await shared("week.html", "week.yaml"));
    const server = createServer((_, response) =>
      response.setHeader("content-type", "text/html").end(text),
    );
    await new Promise<void>((ready) => server.listen(0, "127.0.0.1", ready));
    try {
      const page = await browser.newPage();
      await page.goto(`http://127.0.0.1:${(server.address() as AddressInfo).port}/`);
      await page.check(".guessing input");
      await choose(page, [inside("plain.jpg")]);
      expect(await page.$$(".verdict")).toEqual([]);
      await page.fill(".guess-form input", "-1.5");
      await page.click(".guess-form button");
      expect(await page.textContent(".guess")).toMatch(/You guessed −1\.50; it fell at/);
      expect(await focused(page)).toBe("p.verdict");
      expect((await savedSlip(page)).frames[0]?.predictedStops).toBe(-1.5);
      expect(await page.textContent(".saved")).toMatch(/^Saved week-slip\.json\. .*plain\.jpg\.$/);
      await page.close();
    } finally {
      server.close();
    }
  });

  test("reads HEIC and raw files as the command does", async () => {
    const path = await shared("full.html", "week.yaml", "--with", "raw,heic");
    const { page, complaints } = await openedPage(browser, path);
    await choose(page, [HEIC, RAW]);
    const { frames } = await savedSlip(page);
    expect(frames[0]?.row).toEqual(await rowOf(HEIC));
    expect(frames[1]?.row).toEqual(await rowOf(RAW));
    expect(frames[1]?.row?.failure).toBeNull();
    expect(complaints).toEqual([]);
    await page.close();
  });

  test("says once what to do with a file that it cannot measure, and counts what may be read elsewhere", async () => {
    const { page } = await openedPage(browser, await shared("week.html", "week.yaml"));
    const exposed = scene().withExif(METERED_EXIF);
    await exposed.clone().avif().toFile(inside("small.avif"));
    await exposed.clone().tiff().toFile(inside("small.tif"));
    await exposed.clone().toColourspace("cmyk").jpeg().toFile(inside("inks.jpg"));
    await scene().png().toFile(inside("Screenshot.png"));
    await writeFile(inside("clip.mov"), "\0\0\0\x14ftypqt  \0\0\0\0qt  ");
    await writeFile(inside("none.jpg"), "");
    const counting = ["small.avif", "small.tif", "inks.jpg"].map(inside);
    await choose(page, [...counting, HEIC]);
    const told = (await checksOf(page)).filter(([code]) => code === "unreadable");
    // The TIFF and the HEIC record no settings: their originals are asked for beside it.
    const allTheSame = told.map(([, text]) => /Hand in the file all the same/.test(text));
    expect(allTheSame).toEqual([true, false, true, false]);
    const rows = (await savedSlip(page)).frames.map(({ row }) => row?.failure?.code);
    expect(rows).toEqual([
      ...["unsupported-format", "unsupported-format", "unsupported-colour", "unsupported-format"],
    ]);
    const status = page.locator("#hand-in [role=status]").first();
    expect(await status.textContent()).toMatch(/Everything is there/);
    for (const button of await page.$$(".remove")) await button.click();
    expect(await focused(page)).toBe("input#task-1.unseen");
    await choose(page, ["Screenshot.png", "clip.mov", "none.jpg"].map(inside));
    expect((await checksOf(page)).map(([, text]) => text)).toEqual([
      expect.stringMatching(/^A screenshot/),
      expect.stringMatching(/^This is a video/),
      expect.stringMatching(/^The file is empty/),
    ]);
    expect(await status.textContent()).toMatch(/an original picture.*3 pictures do not count/);
    await page.close();
  });

  test.each(["has no workers", "starts none of ours"])(
    "grades in the page itself where the browser %s",
    async (why) => {
      const page = await browser.newPage();
      await page.addInitScript((none) => {
        if (none) Reflect.deleteProperty(globalThis, "Worker");
        else {
          const broken = class {
            onerror: (() => void) | null = null;
            constructor() {
              setTimeout(() => this.onerror?.(), 50);
            }
            postMessage(): void {}
            terminate(): void {}
          };
          Reflect.set(globalThis, "Worker", broken);
        }
      }, why === "has no workers");
      await page.goto(
        pathToFileURL(await shared("full.html", "week.yaml", "--with", "raw,heic")).href,
      );
      const names = ["plain.jpg", "cut.jpg", "deep.png", "lossy.webp"].map(inside);
      await choose(page, [...names, HEIC]);
      const rows = (await savedSlip(page)).frames.map(({ row }) => row);
      for (const [i, path] of names.entries()) expect(rows[i], path).toEqual(await rowOf(path));
      // A decoder that needs a worker is missed kindly.
      expect(rows.at(-1)?.failure?.message).toMatch(/hand in the file itself/);
      await page.close();
    },
  );
});

describe.skipIf(firefox.path === null)(`the hand-in page in Firefox${firefox.skipped}`, () => {
  test("opens, grades three pictures as the command does, and saves the slip", async () => {
    const path = await shared("week.html", "week.yaml");
    const names = ["plain.jpg", "deep.png", "clear.webp", "cut.jpg"];
    const script = join(import.meta.dirname, "firefoxPage.mjs");
    const { stdout } = await promisify(execFile)(
      process.execPath,
      ["--experimental-websocket", script, firefox.path ?? "", path, ...names.map(inside)],
      { maxBuffer: 2 ** 24, timeout: 120_000 },
    );
    const { frames } = readSlip(stdout, "slip");
    expect(frames.length).toBe(names.length);
    for (const [i, name] of names.entries()) {
      expect(frames[i]?.row, name).toEqual(await rowOf(inside(name)));
    }
  });
});
