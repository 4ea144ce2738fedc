import { basename } from "node:path";
import type { ToSrgb } from "@tonefall/tone-core";
import { z } from "zod";
import type { NamedKit } from "../../kit/kit.ts";
import { kitSchema } from "../../kit/kitSchema.ts";
import { GraderError } from "../../model/errors.ts";
import type { FrameHistograms, FrameResult } from "../../model/result.ts";
import { type FrameView, shownStopsOf } from "./frameView.ts";
import { type SeenViews, seenViews } from "./seenViews.ts";
import { viewSize } from "./viewSize.ts";

const number = z.number();
const size = z.int().min(1).max(65_535);
const share = number.min(0).max(1);
const counts = z.array(number.min(0)).max(65_536);
const base64 = z.string().regex(/^[A-Za-z0-9+/=]*$/);

const picture = z.strictObject({
  width: size,
  height: size,
  source: z.string().regex(/^data:image\/jpeg;base64,[A-Za-z0-9+/=]*$/),
});

/** Histograms that a page draws. */
export const histograms: z.ZodType<FrameHistograms> = z.looseObject({
  linear: z.looseObject({ counts }),
  stops: z.looseObject({ edges: z.array(number), counts, below: number, above: number }),
  encoded: z.looseObject({ counts }).nullable(),
}) as unknown as z.ZodType<FrameHistograms>;

const triple = z.tuple([number, number, number]);

const proxy = z.strictObject({
  width: size,
  height: size,
  weights: z.array(number),
  drawnFrom: z.enum(["picture", "light"]),
  toSrgb: z.tuple([triple, triple, triple]).nullable() as unknown as z.ZodType<ToSrgb | null>,
  kitCurve: z.array(number).nullable(),
  middleGrey: number,
  floorStops: number,
  sceneGuessed: z.boolean(),
  data: base64,
});

const sensorCounts = z.strictObject({ stops: z.array(number), clipped: share });
const sensor = z.array(
  z.strictObject({ channel: z.string(), region: sensorCounts, frame: sensorCounts }),
);

/** What of a frame's pixels a page shows when the picture is far away. */
export interface KeptShown extends Omit<FrameView, "shownStops" | "codeOfStops"> {
  /** Codes of middle grey and of the ends of the placement. */
  readonly codes: { readonly grey: number; readonly from: number; readonly to: number } | null;
}

/** {@link KeptShown}, as it was written. */
export const shownSchema: z.ZodType<KeptShown> = z.strictObject({
  picture: picture.extend({ drawnFromLight: z.boolean() }).nullable(),
  thumbnail: picture.nullable(),
  proxy: proxy.nullable(),
  whole: z.strictObject({
    pixels: number,
    clippedShare: share,
    crushedShare: share,
    histograms,
  }),
  sensor: sensor.nullable(),
  codes: z.strictObject({ grey: number, from: number, to: number }).nullable(),
});

/** What a row keeps of its frame. */
const keptSchema = z.strictObject({
  /** Name of the run's brief file. */
  brief: z.string().nullable(),
  /** The kit that the frame was seen through, and its place among those of the run. */
  kit: z.strictObject({ at: z.int().min(0), kit: kitSchema }).nullable(),
  /** Of the region. */
  histograms: histograms.nullable(),
  /** Null where nothing was decoded. */
  shown: shownSchema.nullable(),
});

type KeptView = z.infer<typeof keptSchema>;

/** Keeps in rows what a report of the whole run shows of their frames. */
export interface ViewKeeper extends Pick<SeenViews, "look"> {
  /** What to keep in a finished row, its histograms still in it. */
  view(row: FrameResult): object;
}

/**
 * Begins to keep views of a run's frames, as large as a report of all of them shows them.
 *
 * @param pictures - as a report has it
 * @param frames - of the whole run
 * @param run - its kits, and the path of its brief
 */
export function viewKeeper(
  pictures: string,
  frames: number,
  {
    kits,
    brief = null,
  }: { readonly kits: readonly NamedKit[]; readonly brief?: string | null | undefined },
): ViewKeeper {
  const views = seenViews(viewSize(pictures, frames));
  return {
    look: views.look,
    view: (row): KeptView => {
      const at = kits.findIndex(({ file }) => file === row.kit?.file);
      const kit = kits[at]?.kit;
      const seen = views.take(row);
      return {
        brief: brief && basename(brief),
        kit: kit ? { at, kit } : null,
        histograms: row.histograms ? drawn(row.histograms) : null,
        shown: seen && keptShown(seen, row),
      };
    },
  };
}

/** What is kept of a view, as {@link openShown} opens it. */
export function keptShown(
  { shownStops: _, codeOfStops, whole, ...data }: FrameView,
  { placement }: Pick<FrameResult, "placement">,
): KeptShown {
  const { from, to } = placement ?? { from: 0, to: 0 };
  return {
    ...data,
    whole: { ...whole, histograms: drawn(whole.histograms) },
    codes: codeOfStops && {
      grey: codeOfStops(0),
      from: codeOfStops(from),
      to: codeOfStops(to),
    },
  };
}

/** The histograms without those of channels, which no page draws. */
export function drawn(histograms: FrameHistograms): FrameHistograms {
  return { ...histograms, channels: [] };
}

/** A row as it was while its picture was at hand. */
export interface OpenedRow {
  /** With its histograms. */
  readonly row: FrameResult;
  readonly view: FrameView | null;
  /** Name of the brief's file. */
  readonly brief: string | null;
  /** The kit that the frame was seen through, and its place among those of its run. */
  readonly kit: { readonly at: number; readonly named: NamedKit } | null;
}

/**
 * Opens what a row keeps; null where it keeps nothing.
 *
 * @throws {@link GraderError} `bad-option` where another version kept it
 */
export function openKept({ view: kept, ...row }: FrameResult): OpenedRow | null {
  if (kept === undefined) return null;
  const parsed = keptSchema.safeParse(kept);
  if (!parsed.success) {
    throw new GraderError(
      "bad-option",
      `What ${row.file} keeps for a report is damaged, or another version wrote it; grade its part again with --for-report`,
    );
  }
  const { brief, kit, histograms, shown } = parsed.data;
  return {
    row: histograms ? { ...row, histograms } : row,
    view: shown && openShown(shown, row),
    brief,
    kit: kit && row.kit ? { at: kit.at, named: { kit: kit.kit, file: row.kit.file } } : null,
  };
}

/** A view as it was while the picture was at hand. */
export function openShown({ codes, ...data }: KeptShown, row: FrameResult): FrameView {
  const codeOf = (stops: number, { grey, from, to }: NonNullable<typeof codes>): number => {
    if (stops === 0) return grey;
    return stops === row.placement?.from ? from : to;
  };
  return {
    ...data,
    shownStops: shownStopsOf(row),
    codeOfStops: codes && ((stops) => codeOf(stops, codes)),
  };
}
