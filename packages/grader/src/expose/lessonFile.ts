import { dirname, join } from "node:path";
import { schemaProblem } from "../brief/yaml/schemaProblem.ts";
import { readYamlFile } from "../brief/yaml/yamlDocument.ts";
import { GraderError } from "../model/errors.ts";
import { framesOfEntry, type LessonSeries } from "./lessonEntry.ts";
import { lessonSchema } from "./lessonSchema.ts";

/** A capture of a lesson: one file, or the frames of a bracket. */
export interface LessonSource {
  /** Paths of the files. */
  readonly files: readonly string[];
  /** Path of a kit file; null for raw files. */
  readonly kit: string | null;
  /** Middle grey as a share of saturation; null for the default. */
  readonly middleGrey: number | null;
}

/** One entry of a lesson, ready to be made. */
interface LessonPart extends LessonSeries {
  /** Name of its source. */
  readonly from: string;
  /** As it was asked for: `plain`, `print` or `kit:` and a path. */
  readonly curve: string;
}

/** A lesson, ready to be made. */
export interface Lesson {
  /** For people. */
  readonly name: string;
  readonly sources: Readonly<Record<string, LessonSource>>;
  /** In the order of the wall. */
  readonly parts: readonly LessonPart[];
}

/**
 * Reads a lesson file. Paths in it count from its own folder.
 *
 * @throws {@link GraderError} `bad-lesson`, with line and column
 */
export async function readLessonFile(path: string): Promise<Lesson> {
  const document = await readYamlFile(path, { what: "a lesson file", code: "bad-lesson" });
  const { data, refusal, positionOf } = document;
  const parsed = lessonSchema.safeParse(data);
  if (!parsed.success) {
    const { what, at, mended } = schemaProblem(parsed.error, lessonSchema, document);
    throw refusal(what, at, mended);
  }
  const { lesson, sources, curve = "plain", frames } = parsed.data;
  const folder = dirname(path);
  const names = Object.keys(sources);
  const parts = frames.map((entry, i): LessonPart => {
    const from = entry.from ?? (names.length === 1 ? (names[0] as string) : "");
    if (!Object.hasOwn(sources, from)) {
      throw refusal(
        `"${from}" is not a source of this lesson; the sources are ${names.join(", ")}`,
        positionOf(["frames", i, "from"]) ?? positionOf(["frames", i]),
      );
    }
    try {
      return { ...framesOfEntry(entry), from, curve: inFolder(folder, entry.curve ?? curve) };
    } catch (error) {
      if (!(error instanceof GraderError)) throw error;
      throw refusal(error.message, positionOf(["frames", i]));
    }
  });
  return {
    name: lesson,
    sources: Object.fromEntries(
      Object.entries(sources).map(([name, { file, bracket, kit, "mid-grey": middleGrey }]) => [
        name,
        {
          files: (bracket ?? [file as string]).map((one) => join(folder, one)),
          kit: kit === undefined ? null : join(folder, kit),
          middleGrey: middleGrey ?? null,
        },
      ]),
    ),
    parts,
  };
}

/** A curve whose kit file counts from a folder. */
function inFolder(folder: string, curve: string): string {
  return curve.startsWith("kit:") ? `kit:${join(folder, curve.slice("kit:".length))}` : curve;
}
