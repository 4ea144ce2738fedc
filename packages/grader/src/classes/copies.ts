import type { Flag, Remark } from "../model/markedClass.ts";
import { stopsText } from "../model/words.ts";
import { type Likeness, readLikeness, sameFromFarAway, type Turn } from "./compareLikeness.ts";
import type { RecordedFile } from "./markRecord.ts";

/** A file among others that it may be a copy of. */
interface Comparable extends RecordedFile {
  readonly alike: Likeness | null;
}

/** Characters of a hash that tell two files apart for people. */
const SHOWN_OF_HASH = 12;

/**
 * What files have in common: the same bytes, then the same picture saved twice, then the same moment by the same camera. Each
 * pair is named once, by the first that holds.
 *
 * Within one exercise a student's own pictures may look alike, as those of a bracket do; only the same bytes are named there.
 *
 * @param files - of the exercise
 * @param earlier - of the exercises before it
 */
export function findCopies(
  files: readonly RecordedFile[],
  earlier: readonly RecordedFile[],
): readonly Flag[] {
  const now = files.map(comparable);
  const before = earlier.map(comparable);
  const said = new Set<string>();
  const flags: Flag[] = [];
  for (const kind of [sameBytes, samePicture, sameMoment]) {
    for (const [i, file] of now.entries()) {
      const earlierFiles = [...before, ...now.slice(0, i)];
      const found = earlierFiles.find(
        (other) => kind(file, other) !== null && !said.has(pairKey(file, other)),
      );
      const flag = found ? kind(file, found) : null;
      if (!found || !flag) continue;
      said.add(pairKey(file, found));
      flags.push(flag);
    }
  }
  return flags;
}

function comparable(file: RecordedFile): Comparable {
  return { ...file, alike: file.likeness === null ? null : readLikeness(file.likeness) };
}

function pairKey(one: RecordedFile, other: RecordedFile): string {
  return JSON.stringify([
    [one.exercise, one.file],
    [other.exercise, other.file],
  ]);
}

function sameBytes(file: Comparable, other: Comparable): Flag | null {
  if (file.sha256 !== other.sha256) return null;
  const hash = file.sha256.slice(0, SHOWN_OF_HASH);
  return flagOf("same-bytes", file, other, `${whose(file, other)} are the same file.`, [
    { code: "sha-256", message: `Both have the SHA-256 ${hash}…, so no byte differs.` },
    ...times(file, other),
  ]);
}

function samePicture(file: Comparable, other: Comparable): Flag | null {
  if (!file.alike || !other.alike || isOwnSeries(file, other)) return null;
  const same = sameFromFarAway(file.alike, other.alike);
  if (!same) return null;
  const { gap, turn } = same;
  const how = TURN_WORDS[turn];
  const message =
    how === undefined
      ? `${whose(file, other)} look like one picture saved twice, or two taken from one tripod.`
      : `${whose(file, other)} look like one picture, ${how} in one of them.`;
  return flagOf("same-picture", file, other, message, [
    {
      code: "tones-alike",
      message: `Their tones in 16 by 16 parts follow one pattern (correlation ${gap.correlation.toFixed(4)}, difference ${gap.differenceStops.toFixed(2)} stop).`,
    },
    {
      code: "lightness",
      message:
        Math.abs(gap.lighterStops) < 0.05
          ? "Both are equally light."
          : `The first is ${stopsText(gap.lighterStops)} stops from the second.`,
    },
    ...times(file, other),
  ]);
}

/** What was done to one of two pictures that show the same otherwise. */
const TURN_WORDS: Readonly<Partial<Record<Turn, string>>> = {
  2: "mirrored",
  3: "turned by half",
  4: "mirrored upside down",
  5: "mirrored and turned on its side",
  6: "turned on its side",
  7: "mirrored and turned on its side",
  8: "turned on its side",
};

function sameMoment(file: Comparable, other: Comparable): Flag | null {
  if (file.capturedAt === null || file.camera === null || file.student === other.student) {
    return null;
  }
  if (file.capturedAt !== other.capturedAt || file.camera !== other.camera) return null;
  return flagOf(
    "same-moment",
    file,
    other,
    `${whose(file, other)} record the same second and the same camera model.`,
    times(file, other),
  );
}

/** Whether both are one student's for one exercise. */
function isOwnSeries(file: RecordedFile, other: RecordedFile): boolean {
  return file.student === other.student && file.exercise === other.exercise;
}

function whose(file: RecordedFile, other: RecordedFile): string {
  return `${file.file} and ${other.file}`;
}

/** Times and cameras of both; nothing where one was not graded, and so its metadata were not read. */
function times(file: RecordedFile, other: RecordedFile): readonly Remark[] {
  if (file.likeness === null || other.likeness === null) return [];
  const said = [file, other].map(({ capturedAt, camera }) =>
    [capturedAt ?? "no time", camera ?? "no camera"].join(", "),
  );
  const [first, second] = said;
  const message =
    first === second
      ? `Both record: ${first}.`
      : `The first records: ${first}. The second records: ${second}.`;
  return [{ code: "recorded", message }];
}

function flagOf(
  code: Flag["code"],
  file: RecordedFile,
  other: RecordedFile,
  message: string,
  evidence: readonly Remark[],
): Flag {
  return {
    code,
    students: [...new Set([file.student, other.student])],
    files: [file.file, other.file],
    task: file.task,
    message,
    evidence,
  };
}
