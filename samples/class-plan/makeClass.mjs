import { mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { completeExif, exifTags } from "../camera/exif.mjs";
import { develop, luminanceOf } from "../camera/sensor.mjs";
import { expose, regionTruth } from "../camera/takeFrame.mjs";
import { VIEWS } from "../harbour-scenes/views.mjs";
import { EXERCISES, PLANTED, STUDENTS } from "./plan.mjs";
import { throughWindow } from "./window.mjs";

/** The picture library is the grader's own: this folder is no package. */
const sharp = createRequire(new URL("../../packages/grader/package.json", import.meta.url))(
  "sharp",
);

const TOLERANCE = 1 / 3;
const QUALITY = 82;
const COPY = { width: 360, quality: 60 };

/** Minutes between frames: too far apart for one series, so that every frame explains itself. */
const APART = 12;

/**
 * Writes the hand-ins of the class, and returns the truth of each.
 *
 * @param {URL} folder - ends in a slash
 * @param {(view: string) => Promise<import("../harbour-scenes/render.mjs").Scene>} sceneOf
 */
export async function makeClass(folder, sceneOf) {
  const frames = [];
  for (const [week, exercise] of EXERCISES.entries()) {
    for (const [place, student] of STUDENTS.entries()) {
      const handIn = `${student.code}/${exercise.id}`;
      await rm(new URL(`${handIn}/`, folder), { recursive: true, force: true });
      if (PLANTED.absent.includes(handIn)) continue;
      await mkdir(new URL(`${handIn}/`, folder), { recursive: true });
      for (const task of exercise.tasks) {
        for (let index = 1; index <= task.frames; index++) {
          const file = `${handIn}/${task.id}-${index}.jpg`;
          if (PLANTED.missing.includes(file)) continue;
          const minutes = APART * (3 * exercise.tasks.indexOf(task) + index) + 2 * place;
          const taken = takenAt(
            exercise.day,
            minutes,
            student,
            /** @type {Record<string, number>} */ (PLANTED.late)[handIn] ?? 0,
          );
          /** @type {number} */
          const seed = 1 + frames.length;
          const scene = throughWindow(await sceneOf(task.view), moved(student.window, index));
          const compensation = student.compensation(task, week);
          frames.push({
            file,
            student: student.code,
            exercise: exercise.id,
            task: task.id,
            takenAt: taken,
            ...(await takeFrame(new URL(file, folder), scene, task, {
              compensation,
              model: student.model,
              taken,
              seed,
            })),
          });
        }
      }
    }
  }
  return plant(folder, frames);
}

/**
 * Each frame of a task is taken from a step further on.
 *
 * @param {import("./window.mjs").Window} window
 * @param {number} index - from 1
 */
function moved(window, index) {
  return { ...window, share: window.share * (1 - 0.08 * (index - 1)) };
}

/**
 * @param {string} day
 * @param {number} minutes - after ten o'clock
 * @param {import("./plan.mjs").StudentPlan} student
 * @param {number} lateHours
 */
function takenAt(day, minutes, { clockYears }, lateHours) {
  const time = new Date(`${day}T10:00:00Z`);
  time.setUTCMinutes(minutes + 60 * lateHours);
  time.setUTCFullYear(time.getUTCFullYear() + clockYears);
  return time.toISOString().slice(0, 19).replaceAll("-", ":").replace("T", " ");
}

/**
 * @param {URL} file
 * @param {import("../harbour-scenes/render.mjs").Scene} scene
 * @param {import("./plan.mjs").TaskPlan} task
 * @param {{ compensation: number, model: string, taken: string, seed: number }} shot
 */
async function takeFrame(file, scene, task, { compensation, model, taken, seed }) {
  const { width, height, light } = scene;
  const luminance = Float32Array.from({ length: width * height }, (_, i) =>
    luminanceOf(light[3 * i], light[3 * i + 1], light[3 * i + 2]),
  );
  const plan = { ...task, compensation };
  const exposed = expose(/** @type {any} */ (plan), luminance, scene, undefined);
  const tags = exifTags({
    marked: exposed.marked,
    programme: "aperture-priority",
    bracketed: false,
    compensationThirds: Math.round(3 * compensation),
    pattern: task.pattern,
    readingCandelas: exposed.readingCandelas,
    focalLengthMillimetres: VIEWS[task.view].focalLengthMillimetres,
    takenAt: taken,
  });
  const exif = { ...tags, IFD0: { ...tags.IFD0, Model: model } };
  const pixels = develop(scene, exposed.middleGreyCandelas, exposed.exact.iso, seed);
  const jpeg = await sharp(pixels, { raw: { width, height, channels: 3 } })
    .withExif(exif)
    .jpeg({ quality: QUALITY, chromaSubsampling: "4:4:4" })
    .toBuffer();
  const subject = [width / 2, height / 2, width / 5, height / 5].map(Math.round);
  await writeFile(file, completeExif(jpeg, 1, subject));
  const { renderedStops, saturatedShare } = regionTruth(
    task.region,
    scene,
    exposed.middleGreyCandelas,
  );
  const [from, to] = task.wanted;
  const error =
    renderedStops < from ? renderedStops - from : renderedStops > to ? renderedStops - to : 0;
  const missed = error > 0 ? "over" : "under";
  return {
    compensationStops: compensation,
    readingStops: exposed.readingStops,
    renderedStops,
    saturatedShare,
    errorStops: error,
    expectedVerdict: Math.abs(error) <= TOLERANCE ? "within" : missed,
  };
}

/**
 * Puts the copies in place, and takes away what a messaging program would.
 *
 * @param {URL} folder
 * @param {readonly any[]} frames
 */
async function plant(folder, frames) {
  const truths = new Map(frames.map((frame) => [frame.file, frame]));
  const of = (/** @type {string} */ file) => ({ ...truths.get(file) });
  for (const [to, from] of Object.entries(PLANTED.surplus)) {
    const [student, exercise] = to.split("/");
    const bytes = await readFile(new URL(from, folder));
    // Another file of the same shot would be a copy: one of another quality is another file of it.
    await writeFile(new URL(to, folder), await encodedAgain(bytes, { width: 480, quality: 75 }));
    truths.set(to, { ...of(from), file: to, student, exercise, surplus: true });
  }
  for (const [to, from] of Object.entries(PLANTED.sameBytes)) {
    await writeFile(new URL(to, folder), await readFile(new URL(from, folder)));
    truths.set(to, { ...of(from), ...ownerOf(to), sameBytesAs: from });
  }
  for (const [to, from] of Object.entries(PLANTED.samePicture)) {
    await writeFile(
      new URL(to, folder),
      await encodedAgain(await readFile(new URL(from, folder)), COPY),
    );
    truths.set(to, { ...of(from), ...ownerOf(to), samePictureAs: from });
  }
  for (const file of PLANTED.stripped) {
    const bytes = await readFile(new URL(file, folder));
    const bare = await sharp(bytes).jpeg({ quality: QUALITY }).toBuffer();
    await writeFile(new URL(file, folder), bare);
    truths.set(file, { ...of(file), takenAt: null, stripped: true });
  }
  return [...truths.values()].sort((a, b) => (a.file < b.file ? -1 : 1));
}

/** @param {string} file */
function ownerOf(file) {
  const [student, exercise] = file.split("/");
  return { file, student, exercise };
}

/**
 * @param {Buffer} bytes
 * @param {{ width: number, quality: number }} to
 */
function encodedAgain(bytes, { width, quality }) {
  return sharp(bytes).resize(width).keepExif().jpeg({ quality }).toBuffer();
}
