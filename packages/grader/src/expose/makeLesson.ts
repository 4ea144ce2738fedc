import { nearestWord, shownText } from "@tonefall/tone-core";
import { readKitFile } from "../kit/kitFile.ts";
import { GraderError } from "../model/errors.ts";
import type { DecodeLimits } from "../picture/decodeLimits.ts";
import type { WritePlace } from "../run/write/writePlace.ts";
import { type Capture, openCapture } from "./capture.ts";
import type { LessonFrame } from "./lessonEntry.ts";
import type { Lesson, LessonSource } from "./lessonFile.ts";
import { makeFrames, type WrittenFrame } from "./makeFrames.ts";
import { openBracket } from "./openBracket.ts";
import { kitCurve, PLAIN, PRINT, type RenderingCurve } from "./renderingCurve.ts";

/** A frame of a lesson that was written. */
export interface LessonWritten {
  /** As the lesson asked for it. */
  readonly wanted: LessonFrame;
  readonly frame: WrittenFrame;
  /** Which part of the lesson it belongs to, from 0. */
  readonly part: number;
}

/**
 * Makes the frames of a lesson, in its order. A capture is decoded once for parts that follow one another.
 *
 * @param places - where each frame is written, in the order of the lesson
 * @throws {@link GraderError} as {@link openCapture}, `bracket-refused`, `bad-kit`, `bad-option`
 */
export async function* makeLesson(
  lesson: Lesson,
  places: readonly WritePlace[],
  limits: DecodeLimits = {},
): AsyncGenerator<LessonWritten> {
  let name: string | null = null;
  let capture: Capture | null = null;
  let at = 0;
  for (const [part, { from, curve: asked, frames }] of lesson.parts.entries()) {
    const curve = await curveNamed(asked);
    if (capture === null || name !== from) {
      // The last capture's memory is not held while the next is decoded.
      capture = null;
      capture = await openSourceOf(lesson.sources[from] as LessonSource, limits);
      name = from;
    }
    const first = at;
    const wanted = frames.map(({ asked: exposure, regions, caption }, i) => ({
      ...{ asked: exposure, regions, curve, caption },
      place: places[first + i] as WritePlace,
    }));
    for await (const frame of makeFrames(capture, wanted)) {
      yield { wanted: frames[at - first] as LessonFrame, frame, part };
      at++;
    }
  }
}

async function openSourceOf(
  { files, kit, middleGrey }: LessonSource,
  limits: DecodeLimits,
): Promise<Capture> {
  const options = {
    ...limits,
    ...(kit === null ? {} : { kit: await readKitFile(kit) }),
    ...(middleGrey === null ? {} : { middleGrey }),
  };
  return files.length === 1
    ? openCapture(files[0] as string, options)
    : openBracket(files, options);
}

/**
 * The curve of a name: `plain`, `print`, or `kit:` and the path of a kit file.
 *
 * @throws {@link GraderError} `bad-option`, `bad-kit`
 */
export async function curveNamed(name: string): Promise<RenderingCurve> {
  if (name === PLAIN.name) return PLAIN;
  if (name === PRINT.name) return PRINT;
  if (name.startsWith("kit:")) return kitCurve(await readKitFile(name.slice("kit:".length)));
  const near = nearestWord(name, [PLAIN.name, PRINT.name]);
  throw new GraderError(
    "bad-option",
    `Expected plain, print or kit:FILE for the curve but received "${shownText(name)}"${near ? `; did you mean ${near}?` : ""}`,
  );
}
