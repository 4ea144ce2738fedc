import { existsSync } from "node:fs";
import { readdir, readFile, rm } from "node:fs/promises";
import { join, resolve } from "node:path";
import type { TermProgress } from "@tonefall/grader";
import { Ajv2020 } from "ajv/dist/2020.js";
import type { BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { hasBrowser, openBrowser, withoutBrowser } from "./browser.ts";
import { openedPage, violationsOf } from "./openedPage.ts";
import { newFolder } from "./pictures.ts";
import { type Run, runTonefall } from "./runTonefall.ts";

const SAMPLE = resolve(import.meta.dirname, "../samples/class");
const SCHEMA = resolve(import.meta.dirname, "../packages/grader/schema/progress.schema.json");

/** Truth is of the scene; what a JPEG of it gives differs by its rounding, and by the region's edge. */
const AGREEMENT_STOPS = 0.1;

interface Truth {
  readonly students: readonly string[];
  readonly exercises: readonly { readonly id: string }[];
  readonly frames: readonly {
    readonly file: string;
    readonly student: string;
    readonly exercise: string;
    readonly errorStops: number;
    readonly expectedVerdict: string;
  }[];
}

let folder = "";
let before: string[];
let run: Run;
let term: TermProgress;
let truth: Truth;
const out = (name: string): string => join(folder, name);
const text = (name: string): Promise<string> => readFile(out(name), "utf8");

// One run, whose outputs everything below looks at.
beforeAll(async () => {
  folder = await newFolder();
  before = (await readdir(SAMPLE, { recursive: true })).sort();
  run = await runTonefall(
    [
      ...["class", "progress", SAMPLE, "-f", "json", "-o", "term.json"],
      ...["--report", "term.html", "--sheets", "sheets", "--gradebook", "term.csv"],
    ],
    { cwd: folder, env: { TONEFALL_CACHE: "" } },
  );
  term = JSON.parse(await text("term.json"));
  truth = JSON.parse(await readFile(join(SAMPLE, "truth.json"), "utf8"));
});
afterAll(() => rm(folder, { recursive: true }));

describe("progress of the sample class", () => {
  test("succeeds, and writes nothing among hand-ins", async () => {
    expect([run.code, run.stdout], run.stderr).toEqual([0, ""]);
    expect((await readdir(SAMPLE, { recursive: true })).sort()).toEqual(before);
  });

  test("has the published form", async () => {
    const validate = new Ajv2020({ allErrors: true }).compile(
      JSON.parse(await readFile(SCHEMA, "utf8")),
    );
    expect(validate(term), JSON.stringify(validate.errors)).toBe(true);
    expect(validate({ ...term, surprise: 1 })).toBe(false);
  });

  test("gives every student's miss of every exercise as the truth has it, in the order of the class file", () => {
    expect(term.students.map(({ student }) => student)).toEqual(truth.students);
    for (const { student, exercises } of term.students) {
      for (const { exercise, missStops, missed, held } of exercises) {
        const own = truth.frames.filter(
          (frame) => frame.student === student && frame.exercise === exercise && counts(frame.file),
        );
        const sizes = own.map(({ errorStops }) => Math.abs(errorStops)).sort((a, b) => a - b);
        const where = `${student} ${exercise}`;
        expect(held, where).toBe(own.filter((one) => one.expectedVerdict === "within").length);
        expect(missed, where).toBe(own.length - held);
        expect(missStops === null, where).toBe(own.length === 0);
        const median =
          ((sizes.at((sizes.length - 1) / 2) ?? 0) + (sizes.at(sizes.length / 2) ?? 0)) / 2;
        if (missStops)
          expect(Math.abs(missStops.median - median), where).toBeLessThan(AGREEMENT_STOPS);
      }
    }
  });

  test("sees who improves, and does not call three exercises a trend", () => {
    const found = studentOf("s02");
    expect([found?.trend.kind, found?.trend.eachTime]).toEqual(["cannot-tell-yet", "smaller"]);
    expect(found?.improved.map(({ kind }) => kind)).toEqual(["all-held", "closest-yet"]);
    const others = term.students.filter(({ trend }) => trend.eachTime === "smaller");
    expect(others.map(({ student }) => student)).toEqual(["s02"]);
  });

  test("names the one cause that recurs, with all of its frames, and no other student's", () => {
    expect(term.students.filter(({ recurring }) => recurring).map((one) => one.student)).toEqual([
      "s03",
    ]);
    const missed = truth.frames.filter(
      ({ student, expectedVerdict }) => student === "s03" && expectedVerdict !== "within",
    );
    const { cause, exercises, of, files } = studentOf("s03")?.recurring ?? {};
    expect({ cause, exercises, of, files: files?.toSorted() }).toEqual({
      cause: "compensated-wrong-way",
      exercises: ["week1", "week2", "week3"],
      of: 3,
      files: missed.map(({ file }) => file).sort(),
    });
  });

  test("says on the page whom to have a word with, and whom to praise, and names nobody else", async () => {
    const [, lesson = ""] =
      /<section id="lesson"(.*?)<\/section>/s.exec(await text("term.html")) ?? [];
    const last = truth.exercises.at(-1)?.id;
    const judged = truth.frames.filter(({ file }) => counts(file));
    const praised = truth.students.filter((student) => {
      const own = judged.filter((frame) => frame.student === student);
      const misses = own.filter(({ expectedVerdict }) => expectedVerdict !== "within");
      return misses.length > 0 && misses.every(({ exercise }) => exercise !== last);
    });
    expect([...lesson.matchAll(/<li>(.*?)<\/li>/g)].map(([, point]) => point)).toEqual([
      "Worth a word with s03: corrected the wrong way in 3 of the last 3.",
      `Worth praise: ${praised.join(" and ")} held every frame of ${last}, after earlier misses.`,
    ]);
  });

  test("counts who is missing, and finds nothing that most students missed", () => {
    expect(term.exercises.map(({ exercise, missing }) => [exercise, missing])).toEqual([
      ["week1", 1],
      ["week2", 0],
      ["week3", 0],
    ]);
    expect([term.missedTasks, term.nextLesson]).toEqual([[], []]);
  });

  test("--names is refused where what is written can be shared", async () => {
    const { code, stderr } = await runTonefall([
      "class",
      "progress",
      SAMPLE,
      "--names",
      "-f",
      "json",
    ]);
    expect(code).toBe(2);
    expect(stderr).toContain("codes alone");
  });
});

describe("sheets", () => {
  test("hold their student's frames, and nothing of another", async () => {
    for (const student of truth.students) {
      const own = truth.frames.filter((frame) => frame.student === student && counts(frame.file));
      for (const kind of ["html", "txt"]) {
        const sheet = (await text(`sheets/${student}.${kind}`)).replace(/base64,[^"]*/g, "");
        const others = truth.students.filter((other) => other !== student);
        expect(
          others.filter((other) => sheet.includes(other)),
          `${student}.${kind}`,
        ).toEqual([]);
        for (const { file } of own) expect(sheet, file).toContain(file.split("/").at(-1));
      }
      const page = await text(`sheets/${student}.html`);
      expect(page.match(/<img /g)?.length ?? 0).toBe(own.length);
      expect(page.includes("The outline marks the part that was measured."), student).toBe(
        own.length > 0,
      );
    }
  });

  test("say one verdict, one cause and one next step", async () => {
    const sheet = await text("sheets/s03.txt");
    const [frame] = /\ntar - tar-1\.jpg[\s\S]*?\n\n/.exec(sheet) ?? [""];
    expect(frame).toContain("lighter than placed, by 2 1/3 stops");
    expect(frame.match(/Why: Your change went the opposite way/g)).toHaveLength(1);
    expect(frame.match(/Do: .*towards − by\s+2 1\/3 stops/g)).toHaveLength(1);
    expect(frame).toMatch(/Asked, in\s+stops: tar/);
    expect(frame.split(/\s+/).length).toBeLessThan(60);
  });

  test("are refused among hand-ins, before anything is decoded", async () => {
    const { code, stderr } = await runTonefall(
      ["class", "progress", SAMPLE, "--sheets", join(SAMPLE, "s01/week1")],
      { cwd: folder },
    );
    expect(code).toBe(2);
    expect(stderr).toContain("folder of its own");
  });
});

test("the gradebook has a row a student and exercise, by code", async () => {
  const [head = "", ...rows] = (await text("term.csv")).trimEnd().split("\r\n");
  expect(head.startsWith("\uFEFFstudent,exercise,level,")).toBe(true);
  expect(rows.map((row) => row.split(",").slice(0, 2).join(" "))).toEqual(
    truth.students.flatMap((student) => truth.exercises.map(({ id }) => `${student} ${id}`)),
  );
  const repeats = rows.filter((row) => row.startsWith("s03,")).map((row) => row.split(",")[2]);
  expect(repeats).toEqual(["not yet", "not yet", "not yet"]);
  expect(rows.find((row) => row.startsWith("s04,week1,"))).toMatch(/^s04,week1,,/);
});

describe.skipIf(!hasBrowser)(`the page of the class${withoutBrowser}`, () => {
  let browser: BrowserContext;
  let close: () => Promise<void>;
  beforeAll(async () => {
    ({ browser, close } = await openBrowser());
  });
  afterAll(() => close());

  const opened = async (name: string): Promise<Page> => {
    const { page, complaints } = await openedPage(browser, out(name));
    expect(complaints).toEqual([]);
    return page;
  };

  test("has nothing that axe objects to, and fits a phone; so do its pages of frames and the sheets", async () => {
    for (const name of ["term.html", "term-frames/002.html", "sheets/s03.html"]) {
      const page = await opened(name);
      expect(await violationsOf(page), name).toEqual([]);
      await page.setViewportSize({ width: 390, height: 800 });
      const beyond = await page.evaluate("document.documentElement.scrollWidth - innerWidth");
      expect(beyond, name).toBeLessThanOrEqual(0);
      const sideways = await page.evaluate(
        "[...document.querySelectorAll('.scroll')].filter((one) => one.scrollWidth > one.clientWidth).length",
      );
      expect(sideways, name).toBe(0);
      await page.close();
    }
  });

  test("leads from each cell to the frame that it speaks of", async () => {
    const page = await opened("term.html");
    const links = await page.$$eval(".matrix a", (all) =>
      all.map((link) => link.getAttribute("href")),
    );
    expect(links).toHaveLength(17);
    for (const link of links) {
      const [file = "", id = ""] = (link ?? "").split("#");
      expect(existsSync(out(decodeURIComponent(file))), link ?? "").toBe(true);
      expect(await text(decodeURIComponent(file))).toContain(`id="${id}"`);
    }
    await page.click(".matrix tbody tr:nth-child(3) td a");
    expect(await page.textContent(":target h3")).toMatch(/s03, tar/);
    await page.close();
  });

  test("filters by cause, and shows all again", async () => {
    const page = await opened("term.html");
    const students = (): Promise<string[]> =>
      page.$$eval(".matrix tbody tr:not([hidden]) th", (all) =>
        all.map((one) => one.textContent ?? ""),
      );
    await page.selectOption("select[name=cause]", "compensated-wrong-way");
    expect(await students()).toEqual(["s03"]);
    expect(await page.textContent(".class-filter [role=status]")).toBe("3 exercises of 1 student");
    await page.click(".class-filter button[type=reset]");
    await expect.poll(students).toEqual([...truth.students]);
    await page.close();
  });

  test("has all feedback of an exercise to copy", async () => {
    const page = await opened("term.html");
    await page.selectOption("select[name=exercise]", "week1");
    const shown = await page.inputValue("#feedback textarea");
    for (const student of truth.students) expect(shown).toContain(`feedback for ${student}`);
    expect(shown).toContain("Nothing has been handed in for this exercise yet");
    await page.close();
  });

  test("on a phone each week of a student says which it is", async () => {
    const page = await opened("term.html");
    await page.setViewportSize({ width: 360, height: 740 });
    const labels = await page.$$eval(".matrix tbody tr:first-child td", (all) =>
      all.map((one) => getComputedStyle(one, "::before").content),
    );
    expect(labels.map((label) => label.split(`"`)[1]?.trim())).toEqual([
      ...truth.exercises.map(({ id }) => id),
      "Trend",
    ]);
    await page.close();
  });

  test("prints forty students on one page", async () => {
    const page = await opened("term.html");
    await page.$eval(".matrix tbody", (body) => {
      for (let i = body.children.length; i < 40; i++) {
        body.append(body.children[i % 6]?.cloneNode(true) as Node);
      }
    });
    const pdf = await page.pdf({ preferCSSPageSize: true });
    expect(pdf.toString("latin1").match(/\/Type \/Page\b/g)).toHaveLength(1);
    await page.close();
  });

  test("prints on one page, a sheet on one for each exercise, and frames three to a page", async () => {
    for (const [name, pages] of [
      ["term.html", 1],
      ["sheets/s03.html", 3],
      ["term-frames/002.html", 6],
    ] as const) {
      const page = await opened(name);
      const pdf = await page.pdf({ preferCSSPageSize: true });
      expect(pdf.toString("latin1").match(/\/Type \/Page\b/g), name).toHaveLength(pages);
      await page.close();
    }
  });
});

/** A frame beyond what its task asks for is not graded. */
function counts(file: string): boolean {
  return !/limewash-3/.test(file);
}

function studentOf(code: string): TermProgress["students"][number] | undefined {
  return term.students.find(({ student }) => student === code);
}
