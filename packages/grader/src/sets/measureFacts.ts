import { readdir, realpath } from "node:fs/promises";
import { dirname, join, posix, sep } from "node:path";
import type { NamedKit } from "../kit/kit.ts";
import type { Note } from "../model/note.ts";
import type { FrameResult } from "../model/result.ts";
import { sameName } from "../model/sameName.ts";
import { type DecodeLimits, givenLimits } from "../picture/decodeLimits.ts";
import { openSource } from "../picture/source/openSource.ts";
import { asFailure } from "../run/asFailure.ts";
import { gradeFrame } from "../run/gradeFrame.ts";
import { hashOf } from "../run/memory/contentOf.ts";
import type { RowMemory } from "../run/memory/rowMemory.ts";
import { meterFrame } from "../run/meterFrame.ts";
import { readFrame } from "../run/readFile.ts";
import type { SeenFrame } from "../run/seenFrame.ts";
import type { ToneAsk } from "./ask.ts";
import { type FrameFacts, toneKey } from "./frameFacts.ts";
import { pinnedRegions } from "./pinOf.ts";
import type { ReadyFrame } from "./readySet.ts";

/** How a Git LFS pointer begins, which stands in for a picture that has not been fetched. */
const LFS_HEAD = "version https://git-lfs.github.com/spec/";

/** What is to be measured of a frame. */
export interface FrameAsks {
  readonly tones: readonly Pick<ToneAsk, "region" | "basis">[];
  /** Whether a claim needs the readings of metering patterns. */
  readonly readings: boolean;
  /** The measured kit that the set names for the frame, used for tones on the scene basis alone. */
  readonly kit?: NamedKit | null;
}

/** How frames of a set are measured. */
export interface MeasureOptions extends DecodeLimits {
  /**
   * Where measured rows are kept and looked up.
   * @default everything is measured
   */
  readonly memory?: readonly RowMemory[];
  /**
   * Measure in other processes, as `gradeFrame` does.
   * @default false
   */
  readonly processes?: boolean;
  /**
   * Receives the frame's pixels each time that they are measured; histograms are then gathered too.
   * @default nobody receives them
   */
  readonly look?: ((seen: SeenFrame) => Promise<void>) | undefined;
}

/**
 * Reads and measures one frame of a set. Nothing about the file makes it throw.
 *
 * @param folder - of the set
 */
export async function measureFacts(
  folder: string,
  frame: ReadyFrame,
  { tones, readings, kit = null }: FrameAsks,
  { memory = [], processes = false, look, ...rest }: MeasureOptions = {},
): Promise<FrameFacts> {
  const path = join(folder, frame.file);
  const caseClash = await clashingName(folder, frame.file);
  const blank = { sha256: null, caseClash, read: null, tones: new Map() };
  const failure = await unusable(folder, path);
  if (failure) return { ...blank, failure };
  const sha256 = await hashOf(path);
  // What a claim says of a record is held against two readers.
  const secondReader = frame.claims.some(({ kind }) => kind === "record");
  const read = await readFrame(path, undefined, { secondReader });
  if (read.failure) return { ...blank, sha256, failure: read.failure };
  const measured = new Map<
    string,
    FrameFacts["tones"] extends ReadonlyMap<string, infer T> ? T : never
  >();
  for (const ask of [...tones, ...ownTones(frame)]) {
    const key = toneKey(ask);
    if (measured.has(key)) continue;
    const brief = {
      region: ask.region,
      ...(ask.basis ? { basis: ask.basis } : {}),
      ...(frame.transfer ? { transfer: frame.transfer } : {}),
    };
    const metered = readings && ask.region === "whole";
    const kits = kit && ask.basis === "scene" ? [kit] : [];
    const options = {
      kits,
      precision: "exact",
      memory,
      processes,
      ...givenLimits(rest),
      ...(look ? { histograms: true, look } : {}),
    } as const;
    const measure = metered ? meterFrame : gradeFrame;
    const row = await measure(path, brief, options);
    measured.set(key, kits.length > 0 ? throughItsKit(row) : row);
  }
  return { sha256, failure: null, caseClash, read, tones: measured };
}

/** A row that fails where the kit that the set names was not used: the claim has nothing to stand on. */
function throughItsKit(row: FrameResult): FrameResult {
  if (row.failure || row.kit) return row;
  const why = row.notes.find(({ code }) => code === "kit-refused");
  return { ...row, failure: why ?? KIT_SAYS_NOTHING };
}

const KIT_SAYS_NOTHING: Note = {
  code: "kit-refused",
  message: "The kit that the set names holds no measurement for this kind of file.",
};

/** The tones that a pin records, on the file's own basis. */
function ownTones(frame: ReadyFrame): Pick<ToneAsk, "region" | "basis">[] {
  return Object.values(pinnedRegions(frame)).map((region) => ({ region, basis: null }));
}

/** Why a file is not measured at all; null where it can be. */
async function unusable(folder: string, path: string): Promise<Note | null> {
  try {
    const file = await openSource(path);
    const [home, target] = [await realpath(folder), await realpath(path)];
    if (!target.startsWith(home.endsWith(sep) ? home : home + sep)) {
      return {
        code: "outside-folder",
        message:
          "The file is a link that leads out of the set's folder; put the picture itself there",
      };
    }
    const head = Buffer.from(await file.head(LFS_HEAD.length)).toString("latin1");
    return head === LFS_HEAD
      ? {
          code: "lfs-pointer",
          message:
            "The file is a Git LFS pointer instead of the picture; fetch the pictures with git lfs pull",
        }
      : null;
  } catch (error) {
    return asFailure(error);
  }
}

/** A name on disk that differs from the frame's only by the case of letters or the encoding of accents. */
async function clashingName(folder: string, file: string): Promise<string | null> {
  const { dir, base } = posix.parse(file);
  try {
    const names = await readdir(dirname(join(folder, file)));
    const other = names.find((name) => name !== base && sameName(name, base));
    return other === undefined ? null : posix.join(dir, other);
  } catch {
    return null;
  }
}
