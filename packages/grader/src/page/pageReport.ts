import { GraderError } from "../errors.ts";
import type { FrameResult } from "../result.ts";
import type { SeenFrame } from "../run/seenFrame.ts";
import { type FrameView, frameView, type ViewSize } from "./frameView.ts";
import { pageAssets } from "./pageAssets.ts";
import { pageFrames } from "./pageFrames.ts";
import { reportPage } from "./reportPage.ts";

/** How much of the pictures a report shows. */
export type PageOptions = {
  /**
   * `none`: figures and histograms alone; `regions`: small pictures with their regions, and the movable spot; `all`:
   * larger pictures.
   * @default "regions"
   */
  readonly pictures?: "none" | "regions" | "all";
  /**
   * Codes in place of file names, and no time of capture.
   * @default false
   */
  readonly anonymous?: boolean;
};

/** A report in the making: sees frames while they are graded, and becomes pages. */
export interface PageReport {
  /** To be passed on to the grading run: it looks at every frame while its pixels are at hand. */
  readonly look: (seen: SeenFrame) => Promise<void>;
  /** The pages, by the name of their file, the first being the one to open. */
  pages(rows: readonly FrameResult[], name: string): Promise<ReadonlyMap<string, string>>;
}

const SIZES: Readonly<Record<"none" | "regions" | "all", ViewSize | null>> = {
  none: null,
  regions: { picture: 560, proxy: 320 },
  all: { picture: 1280, proxy: 320 },
};

/**
 * Begins a report for people to look at: self-contained pages with plots, pictures and a movable spot.
 *
 * @example
 * ```ts
 * const report = pageReport();
 * const rows = await Array.fromAsync(gradeFrames(paths, brief, { histograms: true, look: report.look }));
 * const pages = await report.pages(rows, "report.html");
 * ```
 */
export function pageReport({
  pictures = "regions",
  anonymous = false,
}: PageOptions = {}): PageReport {
  const size = SIZES[pictures];
  if (size === undefined) {
    throw new GraderError(
      "bad-option",
      `Expected none, regions or all for pictures but received "${pictures}"`,
    );
  }
  const views = new Map<string, FrameView>();
  return {
    look: async (seen) => {
      views.set(keyOf(seen.row), await frameView(seen, size));
    },
    pages: async (rows, name) => {
      const seen = rows.map((row) => ({ row, view: views.get(keyOf(row)) ?? null }));
      return new Map([[name, reportPage(pageFrames(seen, anonymous), await pageAssets())]]);
    },
  };
}

/** One file may be graded on two regions. */
function keyOf({ file, region, basis }: FrameResult): string {
  return JSON.stringify([file, region, basis]);
}
