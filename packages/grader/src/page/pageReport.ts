import { GraderError } from "../errors.ts";
import type { NamedKit } from "../kit/kitFile.ts";
import type { FrameResult } from "../result.ts";
import type { SeenFrame } from "../run/seenFrame.ts";
import { type FrameView, frameView, type ViewSize } from "./frameView.ts";
import { kitSection } from "./kitSection.ts";
import { pageAssets } from "./pageAssets.ts";
import { pageFrames } from "./pageFrames.ts";
import { reportPages } from "./reportPages.ts";

/** How much of the pictures a report shows. */
export interface PageOptions {
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
  /**
   * How many frames are to come; pictures of large runs are smaller, so that the pages stay usable.
   * @default few
   */
  readonly frames?: number;
  /**
   * Measured kits that the run has at hand: the page draws those that frames were seen through.
   * @default none
   */
  readonly kits?: readonly NamedKit[];
}

/** A report in the making: sees frames while they are graded, and becomes pages. */
export interface PageReport {
  /** To be passed on to the grading run: it looks at every frame while its pixels are at hand. */
  readonly look: (seen: SeenFrame) => Promise<void>;
  /** The pages, by the name of their file, the first being the one to open. */
  pages(rows: readonly FrameResult[], name: string): Promise<ReadonlyMap<string, string>>;
}

/** Sizes for runs of up to so many frames. */
const SIZES: readonly (readonly [number, ViewSize])[] = [
  [150, { picture: 560, proxy: 320 }],
  [600, { picture: 420, proxy: 240 }],
  [Number.POSITIVE_INFINITY, { picture: 320, proxy: 160 }],
];

const LARGE_PICTURE = 1280;

function viewSize(pictures: string, frames: number): ViewSize | null {
  const [, size] = SIZES.find(([most]) => frames <= most) as (typeof SIZES)[number];
  switch (pictures) {
    case "none":
      return null;
    case "regions":
      return size;
    case "all":
      return { ...size, picture: LARGE_PICTURE };
    default:
      throw new GraderError(
        "bad-option",
        `Expected none, regions or all for pictures but received "${pictures}"`,
      );
  }
}

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
  frames = 0,
  kits = [],
}: PageOptions = {}): PageReport {
  const size = viewSize(pictures, frames);
  const views = new Map<string, FrameView>();
  return {
    look: async (seen) => {
      views.set(keyOf(seen.row), await frameView(seen, size));
    },
    pages: async (rows, name) => {
      const seen = rows.map((row) => ({ row, view: views.get(keyOf(row)) ?? null }));
      const section = kitSection(kits, rows, anonymous);
      return reportPages(pageFrames(seen, anonymous), await pageAssets(), name, undefined, section);
    },
  };
}

/** One file may be graded on two regions. */
function keyOf({ file, region, basis }: FrameResult): string {
  return JSON.stringify([file, region, basis]);
}
