import { existsSync, statSync } from "node:fs";
import { basename, dirname, extname, join, relative, resolve, sep } from "node:path";
import { Command, Option } from "commander";
import { framesOfEntry } from "../expose/lessonEntry.ts";
import { type Lesson, readLessonFile } from "../expose/lessonFile.ts";
import type { LessonEntry } from "../expose/lessonSchema.ts";
import { madeSetText, type SetSeries } from "../expose/madeSet.ts";
import { curveNamed, type LessonWritten, makeLesson } from "../expose/makeLesson.ts";
import { SIMULATED_PATTERNS } from "../judge/metering/readPattern.ts";
import { GraderError } from "../model/errors.ts";
import type { SimulatedPattern } from "../model/metering.ts";
import { exposeJson, exposeTable } from "../output/text/exposeTable.ts";
import { gradeFrames } from "../run/gradeFrames.ts";
import { makeFolders } from "../run/write/makeFolders.ts";
import { whyUnwritable } from "../run/write/whyUnwritable.ts";
import type { WritePlace } from "../run/write/writePlace.ts";
import { writePlace } from "../run/write/writePlace.ts";
import { updatePins } from "../sets/updatePins.ts";
import { EXIT } from "./exitCodes.ts";
import { COMMON_CODES, GROUPS, type HelpTexts, withHelp } from "./help.ts";
import {
  type LimitFlags,
  limitsFromFlags,
  midGreyOption,
  share,
  withLimitOptions,
} from "./options.ts";
import { claimPlaces, lineWidth, paintFor, writeResult } from "./output.ts";
import { type PageFlags, pageCode, pageOptions, withPageOptions } from "./pageFlags.ts";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";

interface ExposeFlags extends LimitFlags, PageFlags {
  readonly asMetered?: SimulatedPattern;
  readonly compensation?: string;
  readonly spot?: string;
  readonly spotSize?: number;
  readonly place?: string;
  readonly region?: string;
  readonly by?: string;
  readonly bracket?: string;
  readonly patterns?: true;
  readonly equivalent?: string;
  readonly curve?: string;
  readonly kit?: string;
  readonly midGrey?: number;
  readonly caption?: string;
  readonly belongs?: string;
  readonly lesson?: string;
  readonly set?: string;
  readonly output: string;
  readonly format: "table" | "json";
  readonly force?: true;
}

const HELP: HelpTexts = {
  first: [
    ...["--as-metered", "--compensation", "--place", "--region", "--by", "--bracket"],
    ...["--curve", "--lesson", "--set", "--output"],
  ],
  examples: `  tonefall expose slip.dng --as-metered spot -o hull.jpg
                                     as a camera that follows its spot meter
  tonefall expose slip.dng --place tar --region spot -o hull.jpg
                                     so that the region falls where tar belongs
  tonefall expose slip.dng --bracket "-2..+2 by 1" -o wall/ --set wall/set.yaml
  tonefall expose --lesson lesson.yaml -o wall/ --report wall.html`,
  details: `More examples:
  tonefall expose slip.dng --patterns -o patterns/    one frame for each pattern
  tonefall expose slip.dng --by "+1 1/3" -o lighter.jpg
  tonefall expose slip.dng --equivalent f4,f8,f11 -o same/
  tonefall expose a.dng b.dng c.dng --by -1 -o darker.jpg
                                                      a bracket, merged first
  tonefall expose room.jpg --kit kits/room.yaml --by -1 -o darker.jpg

Only exposure changes: blur, depth of field and noise are the capture's. What
the capture clipped stays clipped, lifted shadows show its noise, and the output
says so. Every frame says in its metadata that it was made; it is never a
hand-in.

No picture or set is replaced, except that --force replaces a made frame.`,
  exitCodes: `0 made; 2 wrong usage, or a source that gives no frame;
${COMMON_CODES}.`,
};

/** `tonefall expose`. */
export function exposeCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("expose")
    .description(
      "Make frames as a camera would have exposed them, from the light of one raw file: as metered, placed, " +
        "bracketed, under each pattern, or the same exposure by other settings.",
    )
    .argument("[source...]", "a raw file, or the frames of one bracket")
    .optionsGroup(GROUPS.subject)
    .addOption(
      new Option("--as-metered <pattern>", "expose as this metering pattern says").choices(
        SIMULATED_PATTERNS,
      ),
    )
    .option("--compensation <stops>", "compensation added to what the meter says, such as -2")
    .option("--spot <x,y>", "centre of the spot, in fractions of the upright frame")
    .option("--spot-size <share>", "share of the frame that the spot covers: 0.03 or 3%", share)
    .option("-p, --place <tone>", "expose so that the region falls here: tar, -2, 36%")
    .option("-r, --region <region>", "the subject: whole, spot, box:x,y,w,h and others")
    .option("--by <stops>", 'lighter or darker than the capture, such as "+1 1/3"')
    .option("--bracket <range>", 'a series around that exposure, such as "-2..+2 by 1"')
    .option("--patterns", "a series: one frame for each metering pattern")
    .option("--equivalent <f-numbers>", "a series at one exposure and several apertures: f4,f8,f11")
    .option("--belongs <tone>", "tone where the region belongs; the set then claims the error")
    .option("--lesson <file>", "make all frames of a lesson file")
    .optionsGroup(GROUPS.measuring)
    .option("--curve <curve>", "plain, print, or kit:FILE (default: plain)")
    .option("--kit <file>", "kit file that turns a rendered source back into light")
    .addOption(midGreyOption())
    .optionsGroup(GROUPS.output)
    .requiredOption("-o, --output <path>", "the frame's file, or the folder of a series")
    .option("--caption <sentence>", "what the frame shows, in a sentence")
    .option("--set <file>", "also write a set file for tonefall check")
    .addOption(
      new Option("-f, --format <format>", "format of the result")
        .choices(["table", "json"])
        .default("table"),
    )
    .option("--force", "let --output replace made frames");
  withPageOptions(withLimitOptions(command)).action(async (paths: string[], flags: ExposeFlags) => {
    done(await expose(paths, flags, streams));
  });
  return withHelp(command, HELP);
}

async function expose(paths: string[], flags: ExposeFlags, streams: Streams): Promise<number> {
  const lesson = await lessonOf(paths, flags);
  const sources = Object.values(lesson.sources);
  const reads = sources.flatMap(({ files, kit }) => [...files, ...(kit === null ? [] : [kit])]);
  for (const { curve } of lesson.parts) await curveNamed(curve);
  const files = framePaths(lesson, flags.output);
  const [set = null, page = null] = claimPlaces(
    [
      { path: flags.set, kind: "set", option: "--set" },
      { path: flags.report, kind: "html", option: "--report" },
    ],
    { reads: [...reads, flags.lesson], force: flags.force },
  );
  const places = files.map((path) =>
    writePlace({ path, kind: "made-frame", reads, force: flags.force ?? false }),
  );
  await makeFoldersFor(files);
  const written: LessonWritten[] = [];
  const making = orUnwritable(makeLesson(lesson, places, limitsFromFlags(flags)), flags.output);
  for await (const one of withProgress(making, places.length, streams)) written.push(one);
  if (set) await writeSet(lesson, written, set, flags, streams);
  if (page) await writePage(lesson, written, page, flags);
  const style = {
    width: lineWidth(streams, undefined),
    heading: paintFor(streams, undefined).strong,
  };
  const frames = written.map(({ frame }) => frame);
  const text = flags.format === "json" ? exposeJson(frames) : exposeTable(frames, style);
  await writeResult(text, null, streams);
  return EXIT.ok;
}

/** The lesson that a file holds, or that the options come to. */
async function lessonOf(paths: readonly string[], flags: ExposeFlags): Promise<Lesson> {
  if (flags.lesson !== undefined) {
    if (paths.length > 0) {
      throw new GraderError(
        "bad-option",
        "Expected sources or --lesson but received both; the lesson file names its own sources",
      );
    }
    return readLessonFile(flags.lesson);
  }
  if (paths.length === 0) {
    throw new GraderError(
      "bad-option",
      "Expected a raw file to expose, or --lesson FILE, but received neither",
    );
  }
  const { kit, midGrey, curve = "plain" } = flags;
  return {
    name: basename(paths[0] as string, extname(paths[0] as string)),
    sources: {
      source: { files: paths, kit: kit ?? null, middleGrey: midGrey ?? null },
    },
    parts: [{ ...framesOfEntry(entryOf(flags)), from: "source", curve }],
  };
}

function entryOf(flags: ExposeFlags): LessonEntry {
  const { asMetered, compensation, spot, spotSize, place, region, by } = flags;
  const { bracket, patterns, equivalent, caption, belongs } = flags;
  const given = {
    ...{ "as-metered": asMetered, compensation, spot, "spot-size": spotSize, place, region, by },
    ...{ bracket, patterns, equivalent, caption, belongs },
  };
  return Object.fromEntries(Object.entries(given).filter(([, value]) => value !== undefined));
}

const JPEG = /\.jpe?g$/i;

/** Where each frame goes: one to the file that is named, several to a folder, numbered in their order. */
function framePaths({ parts }: Lesson, output: string): readonly string[] {
  const names = parts.flatMap(({ frames }) => frames.map(({ name }) => name));
  const isFolder = existsSync(output) && statSync(output).isDirectory();
  if (JPEG.test(output) && !isFolder) {
    if (names.length === 1) return [output];
    throw new GraderError(
      "bad-option",
      `Expected a folder for ${names.length} frames with --output but received ${output}`,
    );
  }
  const digits = Math.max(2, String(names.length).length);
  return names.map((name, i) => {
    const number = names.length === 1 ? "" : `${String(i + 1).padStart(digits, "0")}-`;
    return join(output, `${number}${name}.jpg`);
  });
}

async function makeFoldersFor(files: readonly string[]): Promise<void> {
  for (const folder of new Set(files.map((file) => dirname(file)))) {
    try {
      await makeFolders(folder);
    } catch (cause) {
      throw unwritable(folder, cause);
    }
  }
}

/** The frames, with the file system's errors as sentences. */
async function* orUnwritable<T>(frames: AsyncIterable<T>, output: string): AsyncGenerator<T> {
  try {
    yield* frames;
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).syscall === undefined) throw cause;
    throw unwritable(output, cause);
  }
}

function unwritable(path: string, cause: unknown): GraderError {
  // What was being written may lie in a folder of the output.
  const { path: at = path } = cause as NodeJS.ErrnoException;
  return new GraderError(
    "bad-option",
    `Expected a place to write for --output but ${path} cannot be written ${whyUnwritable(at, cause)}`,
    { cause },
  );
}

async function writeSet(
  lesson: Lesson,
  written: readonly LessonWritten[],
  place: WritePlace,
  flags: ExposeFlags,
  streams: Streams,
): Promise<void> {
  const folder = dirname(resolve(place.path));
  const members = written.map(({ wanted, frame }) => ({
    id: basename(frame.path).replace(JPEG, ""),
    file: relative(folder, resolve(frame.path)).split(sep).join("/"),
    frame,
    caption: wanted.caption,
    belongs: wanted.belongs,
  }));
  const series = lesson.parts.flatMap(({ kind }, part): SetSeries[] =>
    kind === null
      ? []
      : [
          {
            kind,
            members: members.filter((_, i) => written[i]?.part === part).map(({ id }) => id),
          },
        ],
  );
  await writeResult(madeSetText(lesson.name, members, series), place, streams);
  await updatePins(place.path, limitsFromFlags(flags));
}

/** The page to project: the made frames, graded like any others. A lesson's opens on the wall. */
async function writePage(
  { name }: Lesson,
  written: readonly LessonWritten[],
  page: WritePlace,
  flags: ExposeFlags,
): Promise<void> {
  const files = written.map(({ frame }) => frame.path);
  const names = files.map((path) => path.replaceAll("\\", "/"));
  const report = await (await pageCode()).pageReport(page, names, {
    ...pageOptions(flags),
    ...(flags.lesson === undefined ? {} : { title: name, lesson: true }),
    captions: written.map(({ wanted }) => wanted.caption),
  });
  try {
    const rows = gradeFrames(files, (_source, i) => briefOf(written[i] as LessonWritten), {
      ...limitsFromFlags(flags),
      histograms: true,
      look: report.look,
      voice: "teacher",
    });
    for await (const row of rows) await report.add(row);
    await report.write();
  } finally {
    await report.close();
  }
}

function briefOf({ wanted, frame }: LessonWritten): { region?: string; place?: string } {
  const { placed } = frame.exposure;
  const [tone] = Object.values(frame.tones);
  const place = wanted.belongs ?? placed?.place;
  return {
    ...(tone ? { region: tone.region } : {}),
    ...(place === undefined ? {} : { place }),
  };
}
