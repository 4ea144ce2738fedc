import type { CameraKit, KitPoint } from "../kit/kit.ts";
import { measuredFrom, oneKit } from "../kit/kitIdentity.ts";
import { GraderError } from "../model/errors.ts";
import type { Note } from "../model/note.ts";
import { requireSeveral } from "../model/requireSeveral.ts";
import { betterOrder, everyFrameFits } from "./betterOrder.ts";
import { bracketExposures } from "./bracketExposures.ts";
import {
  type BracketFrame,
  type OpenedFrame,
  openBracketFrame,
  requireOnePicture,
} from "./bracketFrame.ts";
import { LEAST_FRAMES, recoverChannel, searchBracket } from "./searchBracket.ts";

/** A kit measured from a bracket. */
export interface BracketResult {
  /** Null where the bracket is refused. */
  readonly kit: CameraKit | null;
  /** Why there is no kit; null where there is one. */
  readonly refusal: Note | null;
  /** In the order of the files. */
  readonly frames: readonly BracketFrame[];
}

/** How a bracket is measured. */
export interface BracketOptions {
  /**
   * Exposure times in seconds in the order of the files.
   * @default from metadata
   */
  readonly times?: readonly number[];
}

/**
 * Measures a rendering's response from a bracket of one still scene.
 *
 * @param paths - three frames or more of one camera, style and size, in any order
 * @throws {@link GraderError} `kit-mixed`, `kit-refused`, `bad-option` or what keeps a frame from being read
 *
 * @example
 * ```ts
 * const { kit, frames } = await measureBracket(["a.jpg", "b.jpg", "c.jpg"], { times: [1 / 40, 1 / 10, 1 / 2.5] });
 * ```
 */
export async function measureBracket(
  paths: readonly string[],
  { times }: BracketOptions = {},
): Promise<BracketResult> {
  requireSeveral(paths, "measureBracket");
  if (paths.length < LEAST_FRAMES) {
    throw new GraderError(
      "kit-refused",
      `Expected ${LEAST_FRAMES} frames or more for a bracket but received ${paths.length}; photograph a still scene in steps of a stop`,
    );
  }
  const opened: OpenedFrame[] = [];
  for (const path of paths) opened.push(await openBracketFrame(path));
  const rows = opened.map(({ row }) => row);
  const identity = oneKit(rows);
  requireOnePicture(opened);
  const exposures = bracketExposures(rows, times);

  const luminance = (opened[0] as OpenedFrame).grid.channels.length - 1;
  const search = searchBracket(opened, exposures, luminance);
  const frames = search.frames.map((frame, i) => ({
    file: rows[i]?.file as string,
    exposure: exposures[i] as number,
    ...frame,
  }));
  const { response } = search;
  // Times in another order can leave out a few frames and fit the rest, which are then a step off alike.
  const hint = times && !everyFrameFits(search) ? betterOrder(opened, times, luminance) : "";
  if (!response || hint) {
    const why = search.refusal?.message ?? "The frames do not follow the times in this order.";
    return { kit: null, refusal: { code: "kit-refused", message: `${why}${hint}` }, frames };
  }

  const kept = frames.flatMap(({ included }, i) => (included ? [i] : []));
  const { iso, on } = measuredFrom(rows);
  const kit: CameraKit = {
    schemaVersion: 1,
    ...identity,
    iso,
    middleGrey: null,
    curve: { luminance: response.points, ...colourCurves(opened, exposures, kept) },
    uncertainty: response.uncertainty,
    measured: {
      how: ["bracket"],
      frames: kept.length,
      on,
      residuals: frames.flatMap(({ included, exposure, residual }) =>
        included && residual !== null ? [{ exposure, residual }] : [],
      ),
    },
  };
  return { kit, refusal: null, frames };
}

/** A curve for each of red, green and blue; none where one of them has none. */
function colourCurves(
  opened: readonly OpenedFrame[],
  exposures: readonly number[],
  kept: readonly number[],
): Partial<Record<"red" | "green" | "blue", readonly KitPoint[]>> {
  const channels = (opened[0] as OpenedFrame).grid.channels;
  const colours = ["red", "green", "blue"].flatMap((name) => {
    const channel = channels.indexOf(name);
    const points = channel < 0 ? null : recoverChannel(opened, exposures, kept, channel)?.points;
    return points ? [[name, points] as const] : [];
  });
  return colours.length === 3 ? Object.fromEntries(colours) : {};
}
