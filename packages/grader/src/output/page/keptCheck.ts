import { createHash } from "node:crypto";
import { deflateSync, inflateSync } from "node:zlib";
import { z } from "zod";
import type { CheckResult } from "../../model/checkResult.ts";
import { GraderError } from "../../model/errors.ts";
import type { FrameResult, ReadResult } from "../../model/result.ts";
import { digestOf } from "../../run/memory/claimDigest.ts";
import type { FrameFacts } from "../../sets/frameFacts.ts";
import type { CheckWatch } from "../../sets/measureSet.ts";
import { parseSet } from "../../sets/readSet.ts";
import type { ReadySet } from "../../sets/readySet.ts";
import type { FrameView, ViewSize } from "./frameView.ts";
import { drawn, histograms, keptShown, openShown, shownSchema } from "./keptView.ts";
import type { PageOptions } from "./pageReport.ts";
import { toneViews } from "./toneViews.ts";
import { viewSize } from "./viewSize.ts";

/** What one frame may unpack to, bytes. */
const MOST_UNPACKED = 256e6;

const place = z.int().min(0);
const note = z.looseObject({ code: z.string(), message: z.string() });
/** Enough of a row to recognise it; Tonefall wrote the rest itself. */
const row = z.looseObject({ file: z.string(), notes: z.array(note), failure: note.nullable() });

/** A frame of a set with all that its card tells. */
const frameSchema = z.strictObject({
  /** Place of its set in the check, and its own in the set. */
  set: place,
  at: place,
  facts: z.looseObject({
    sha256: z.string().nullable(),
    failure: note.nullable(),
    caseClash: z.string().nullable(),
    read: row.nullable() as unknown as z.ZodType<ReadResult | null>,
  }),
  tones: z.array(
    z.strictObject({
      key: z.string(),
      row: row.extend({ histograms: histograms.optional() }) as unknown as z.ZodType<FrameResult>,
      /** Null where nothing was decoded, or another tone shows the same. */
      shown: shownSchema.nullable(),
    }),
  ),
});

const viewSchema = z.strictObject({
  /** Texts of the set files. */
  sets: z.array(z.string()),
  /** Packed: figures by the thousand, which nobody reads as they stand. */
  frames: z.array(z.base64()),
  /** SHA-256 of both, hexadecimal. */
  sum: z.string(),
});

/** Keeps what a report shows of a check, or of a part of one, for a report of all parts. */
export interface CheckKeeper extends CheckWatch {
  /** Puts what was kept into the result of the check that was watched. */
  keep(result: CheckResult): CheckResult;
}

/**
 * Begins to keep what a report of the whole check shows, so that it can be written where the pictures are not.
 *
 * @example
 * ```ts
 * const keeper = checkKeeper();
 * const shard = { index: 1, of: 3 };
 * const part = keeper.keep(await checkSets(["set.yaml"], { shard, watch: keeper }));
 * ```
 */
export function checkKeeper({
  pictures = "regions",
}: Pick<PageOptions, "pictures"> = {}): CheckKeeper {
  let sets: readonly ReadySet[] = [];
  let size: ViewSize | null = viewSize(pictures, 0);
  const views = toneViews();
  const kept: { readonly set: number; readonly at: number; readonly packed: string }[] = [];
  return {
    begin: (all) => {
      sets = all;
      size = viewSize(pictures, framesOf(all));
    },
    look: async (_set, units, frame, seen) => {
      // A frame that another part checks is measured for a relation: that part keeps it.
      if (units.length > 0) await views.look(frame, seen, size);
    },
    measured: async (set, units, frame, { tones, ...facts }) => {
      if (units.length === 0) return;
      const seen = views.take(frame, tones);
      const where = { set: sets.indexOf(set), at: set.frames.indexOf(frame) };
      const keptTones = [...tones].map(([key, { histograms: own, ...bare }]) => {
        const view = seen.get(key);
        return {
          key,
          row: own ? { ...bare, histograms: drawn(own) } : bare,
          shown: view ? keptShown(view, bare) : null,
        };
      });
      kept.push({ ...where, packed: packed({ ...where, facts, tones: keptTones }) });
    },
    keep: (result) => {
      kept.sort((a, b) => a.set - b.set || a.at - b.at);
      const view = {
        sets: sets.map(({ text }) => text),
        frames: kept.map((frame) => frame.packed),
      };
      return { ...result, view: { ...view, sum: digestOf(view) } };
    },
  };
}

/** How many frames sets have together. */
export function framesOf(sets: readonly ReadySet[]): number {
  return sets.reduce((sum, { frames }) => sum + frames.length, 0);
}

function packed(data: object): string {
  return deflateSync(JSON.stringify(data)).toString("base64");
}

/** A frame as it was while its pictures were at hand. */
export interface OpenedFrame {
  /** Place of its set in the check. */
  readonly set: number;
  /** Its own place in the set. */
  readonly at: number;
  readonly facts: FrameFacts;
  /** By the keys of its tones. */
  readonly views: ReadonlyMap<string, FrameView>;
}

/** What a part of a check keeps, opened. */
export interface OpenedCheck {
  readonly sets: readonly ReadySet[];
  readonly frames: Iterable<OpenedFrame>;
}

/**
 * Opens what the result of a check keeps for a report.
 *
 * @throws {@link GraderError} `bad-option` where it keeps nothing, or what is damaged
 */
export function openKeptCheck({ view, sets: checked, shard }: CheckResult): OpenedCheck {
  const name = shard ? `Part ${shard.index}/${shard.of} of the check` : "The check";
  if (view === undefined) {
    throw new GraderError(
      "bad-option",
      `${name} keeps nothing for a report; run it again with --for-report`,
    );
  }
  const damaged = (cause?: unknown): GraderError =>
    new GraderError(
      "bad-option",
      `${name} keeps for a report what is damaged, or what another version wrote; run it again with --for-report`,
      { cause },
    );
  const { data, error } = viewSchema.safeParse(view);
  if (!data) throw damaged(error);
  const { sum, ...kept } = data;
  const ofTheseSets =
    kept.sets.length === checked.length &&
    kept.sets.every((text, i) => sha256(text) === checked[i]?.sha256);
  if (sum !== digestOf(kept) || !ofTheseSets) throw damaged();
  const sets = kept.sets.map((text, i) => parseSet(text, checked[i]?.file ?? "").set);
  return { sets, frames: openedFrames(kept.frames, sets, damaged) };
}

/** Frames one by one, so that no more than one is unpacked at a time. */
function* openedFrames(
  frames: readonly string[],
  sets: readonly ReadySet[],
  damaged: (cause?: unknown) => GraderError,
): Generator<OpenedFrame> {
  for (const text of frames) {
    const { data, error } = frameSchema.safeParse(unpacked(text, damaged));
    if (!data || !sets[data.set]?.frames[data.at]) throw damaged(error);
    const { set, at, facts, tones } = data;
    yield {
      ...{ set, at },
      facts: {
        ...(facts as unknown as Omit<FrameFacts, "tones">),
        tones: new Map(tones.map(({ key, row: own }) => [key, own])),
      },
      views: new Map(
        tones.flatMap(({ key, row: own, shown }) =>
          shown ? [[key, openShown(shown, own)] as const] : [],
        ),
      ),
    };
  }
}

function unpacked(text: string, damaged: (cause: unknown) => GraderError): unknown {
  try {
    const bytes = inflateSync(Buffer.from(text, "base64"), { maxOutputLength: MOST_UNPACKED });
    return JSON.parse(bytes.toString());
  } catch (cause) {
    throw damaged(cause);
  }
}

function sha256(text: string): string {
  return createHash("sha256").update(text).digest("hex");
}
