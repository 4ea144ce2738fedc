// How large and how slow is the page of a class over a term? 30 students, 12 exercises, 4 frames each, from the harbour's
// frames: it is written, and opened in a browser where there is one. `node packages/grader/bench/classPage.bench.mjs [FOLDER]`
// keeps the pages in that folder.
import { mkdir, mkdtemp, readdir, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { classReport, gradeFrames } from "@tonefall/grader";
import { chromium as driver } from "playwright-core";
import { chromium } from "../../../test/outside.mjs";

const [STUDENTS, EXERCISES, FRAMES] = [30, 12, 4];
const MEGABYTE = 2 ** 20;
const HARBOUR = fileURLToPath(new URL("../../../samples/harbour/", import.meta.url));

const kept = process.argv[2];
const folder = kept ?? (await mkdtemp(join(tmpdir(), "tonefall class ")));
try {
  await mkdir(folder, { recursive: true });
  const { marked, pathOf } = await markedTerm();
  const start = performance.now();
  const pages = await classReport(join(folder, "term.html"), marked, { pathOf });
  const seconds = (performance.now() - start) / 1000;
  const sizes = await Promise.all(pages.map(async (page) => (await stat(page)).size));
  const [first, ...others] = sizes.map((size) => size / MEGABYTE);
  console.log(`${STUDENTS} students, ${EXERCISES} exercises, ${FRAMES} frames each`);
  console.log(`written in ${seconds.toFixed(1)} s; page ${first.toFixed(2)} MB`);
  console.log(
    `pages of frames: ${others.length}, the largest ${Math.max(...others).toFixed(1)} MB`,
  );
  if (chromium.path === null) console.log(`not opened${chromium.skipped}`);
  else for (const page of pages.slice(0, 2)) console.log(await opened(page));
} finally {
  if (kept === undefined) await rm(folder, { recursive: true, force: true });
}

/** A term of rows that were graded, dealt out to invented students. */
async function markedTerm() {
  const names = (await readdir(HARBOUR)).filter((name) => name.endsWith(".jpg")).sort();
  const files = names.map((name) => join(HARBOUR, name));
  const brief = { place: -0.5, region: "spot", tolerance: 1 / 3 };
  const rows = [];
  for await (const row of gradeFrames(files, brief, { voice: "student" })) rows.push(row);
  const judged = rows.map((row, i) => ({ row, path: files[i] })).filter(({ row }) => row.error);
  const paths = new Map();
  const tasks = Array.from({ length: FRAMES }, (_, i) => ({
    ...{ id: `task-${i + 1}`, title: null, place: "tar", region: "spot", tolerance: 1 / 3 },
    ...{ frames: 1, cautions: [] },
  }));
  const students = Array.from({ length: STUDENTS }, (_, i) => `s${String(i + 1).padStart(2, "0")}`);
  let dealt = 0;
  const exercises = Array.from({ length: EXERCISES }, (_, week) => {
    const id = `week${week + 1}`;
    const marks = students.flatMap((student) =>
      tasks.map((task) => {
        const { row, path } = judged[(7 * dealt++) % judged.length];
        const file = `${student}/${id}/${task.id}.jpg`;
        paths.set(file, path);
        return markedRow(student, task.id, { ...row, file });
      }),
    );
    const summary = {
      ...{ rows: marks.length, frames: marks.length, levels: {}, withoutLevel: 0, missing: 0 },
      ...{ surplus: 0, late: 0, unreadable: 0 },
    };
    return {
      id,
      title: null,
      due: null,
      tasks,
      rows: marks,
      unasked: [],
      flags: [],
      strays: [],
      summary,
    };
  });
  /** @type {import("@tonefall/grader").MarkedClass} */
  const marked = {
    ...{ schemaVersion: 1, class: "A class of thirty", students },
    ...{ levels: ["placed", "nearly", "not yet"], exercises },
  };
  return { marked, pathOf: /** @param {string} file */ (file) => paths.get(file) ?? null };
}

/**
 * @param {string} student
 * @param {string} task
 * @param {import("@tonefall/grader").FrameResult} row
 * @returns {import("@tonefall/grader").MarkedClass["exercises"][number]["rows"][number]}
 */
function markedRow(student, task, row) {
  const { stops, bound } = /** @type {NonNullable<typeof row.error>} */ (row.error);
  const level = row.verdict === "within" ? "placed" : Math.abs(stops) < 1 ? "nearly" : "not yet";
  const reason = { code: "by-limit", message: "" };
  return {
    ...{ student, task, missing: 0, surplus: [], shown: row.file, verdict: row.verdict },
    error: { stops, bound },
    cause: row.causes[0]?.code ?? null,
    level: { level, suggested: level, reason, override: null },
    frames: [
      {
        ...{
          file: row.file,
          sha256: null,
          by: "files",
          from: "picture",
          beside: null,
          changed: null,
          level,
          row,
        },
        late: { late: false, hours: null, capturedAt: null, reason },
      },
    ],
  };
}

/** @param {string} path */
async function opened(path) {
  const browser = await driver.launch({
    executablePath: chromium.path ?? "no browser",
    args: ["--no-sandbox"],
  });
  try {
    const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
    const times = [];
    for (let i = 0; i < 3; i++) {
      const start = performance.now();
      await page.goto(pathToFileURL(path).href);
      // Laid out and painted once.
      await page.evaluate(
        () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))),
      );
      times.push(performance.now() - start);
    }
    const pdf = await page.pdf({ preferCSSPageSize: true });
    const sheets = pdf.toString("latin1").match(/\/Type \/Page\b/g)?.length;
    return `${path.split("/").at(-1)}: opened in ${Math.round(times.sort((a, b) => a - b)[1])} ms (median of 3), prints on ${sheets} pages`;
  } finally {
    await browser.close();
  }
}
