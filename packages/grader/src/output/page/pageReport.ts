import { basename } from "node:path";
import type { NamedKit } from "../../kit/kit.ts";
import type { FrameResult } from "../../model/result.ts";
import type { SeenFrame } from "../../run/seenFrame.ts";
import { type WritePlace, writePlace } from "../../run/write/writePlace.ts";
import { card } from "./card.ts";
import { frameData, frameDataElement } from "./frameData.ts";
import { cardsWait } from "./frameFold.ts";
import { frameNames } from "./frameNames.ts";
import { openKept } from "./keptView.ts";
import { kitSection } from "./kitSection.ts";
import { madeOn } from "./madeOn.ts";
import { html, type Markup } from "./markup.ts";
import { frameTable, overview, summaryBar } from "./overview.ts";
import { pageAssets } from "./pageAssets.ts";
import type { PageFrame } from "./pageFrame.ts";
import { reportFile } from "./reportFile.ts";
import { type AddressOf, type Card, reportPages } from "./reportPages.ts";
import { seenViews } from "./seenViews.ts";
import { sheetSection } from "./sheetSection.ts";
import { sheets } from "./sheets.ts";
import { viewSize } from "./viewSize.ts";

/** How much of the pictures a report shows, and how it is written. */
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
   * What one page may hold, bytes; beyond that the cards go on pages in a folder beside an index.
   * @default 60e6
   */
  readonly mostBytes?: number;
  /**
   * Measured kits that the run has at hand: the page draws those that frames were seen through.
   * @default none
   */
  readonly kits?: readonly NamedKit[];
}

/** How a report of graded frames is written, and what its head says. */
export interface ReportOptions extends PageOptions {
  /**
   * Stands at the head of the page.
   * @default "Exposure report"
   */
  readonly title?: string;
  /**
   * The brief's file, named at the head of a page that is not anonymous.
   * @default null
   */
  readonly brief?: string | null;
  /**
   * When the report was made.
   * @default now
   */
  readonly made?: Date;
  /**
   * What each file is there to show, in their order.
   * @default none
   */
  readonly captions?: readonly (string | null)[];
  /**
   * Opens the page on the wall, with all frames in their order.
   * @default false
   */
  readonly lesson?: boolean;
}

/** A report in the making: it sees frames while they are graded, and writes their cards as they come. */
export interface PageReport {
  /** To be passed on to the grading run: it looks at every frame while its pixels are at hand. */
  readonly look: (seen: SeenFrame) => Promise<void>;
  /** Takes the next row, in the order of the files; wait for it before the next. A row that keeps its view need not be looked at. */
  add(row: FrameResult): Promise<void>;
  /**
   * Writes the pages, each whole or not at all.
   *
   * @returns their paths, the page to open first
   * @throws {@link GraderError} `bad-option` where they cannot be written
   */
  write(): Promise<string[]>;
  /** Takes away what the report had put aside; to be called whatever happened. */
  close(): Promise<void>;
}

/** A report that would pass this many bytes is written as several pages. */
export const MOST_BYTES = 60e6;

/**
 * Begins a report for people to look at: self-contained pages with plots, pictures and a movable spot.
 *
 * Cards wait in a folder beside the page until all are there, so that memory hardly grows with the run.
 *
 * @param target - path of the page to open, or the place claimed for it; further pages go into a folder beside it
 * @param files - the files that are to come, in order, as their rows name them
 * @throws {@link GraderError} `bad-option` where nothing can be written there, `would-overwrite` where something is that
 *   has to stay
 *
 * @example
 * ```ts
 * const report = await pageReport("report.html", paths);
 * try {
 *   const run = { histograms: true, look: report.look };
 *   for await (const row of gradeFrames(paths, brief, run)) await report.add(row);
 *   await report.write();
 * } finally {
 *   await report.close();
 * }
 * ```
 */
export async function pageReport(
  target: string | WritePlace,
  files: readonly string[],
  {
    pictures = "regions",
    anonymous = false,
    mostBytes = MOST_BYTES,
    kits = [],
    title = "Exposure report",
    brief = null,
    made = new Date(),
    captions = [],
    lesson = false,
  }: ReportOptions = {},
): Promise<PageReport> {
  const size = viewSize(pictures, files.length);
  const names = frameNames(files, anonymous);
  const place =
    typeof target === "string"
      ? writePlace({ path: target, kind: "html", option: "--report", reads: files })
      : target;
  const file = await reportFile(place);
  const views = seenViews(size);
  const frames: PageFrame[] = [];
  const cards: Card[] = [];
  const kitFiles: string[] = [];
  return {
    look: views.look,
    add: async (given) => {
      const { row, view } = openKept(given) ?? { row: given, view: views.take(given) };
      const number = frames.length + 1;
      const id = `frame-${number}`;
      const frame = {
        ...{ number, id, thumbnail: view?.thumbnail ?? null, ...names.shown(row, number) },
        caption: captions[number - 1] ?? null,
      };
      if (row.kit) kitFiles.push(row.kit.file);
      cards.push({
        number,
        id,
        piece: await file.keep(card(frame, view, cardsWait(files.length))),
      });
      const { histograms: _, ...kept } = frame.row;
      frames.push({ ...frame, row: kept });
    },
    write: async () => {
      const found = sheets(frames);
      const report = {
        title,
        lead: lead(frames, anonymous ? null : brief, made),
        bar: summaryBar(frames),
        head: (addressOf: AddressOf) => [
          lesson && lessonBeginning(frames),
          overview(frames, addressOf),
        ],
        tail: (addressOf: AddressOf) => [
          sheetSection(found, addressOf),
          frameTable(frames, addressOf),
          kitSection(kits, kitFiles, anonymous),
        ],
        data: () => frames.map((frame) => frameDataElement(frameData(frame))),
        nav: found.length > 0 ? [{ href: "#sheets", text: "Side by side" }] : [],
        cards,
      };
      return file.write(reportPages(report, await pageAssets(), basename(place.path), mostBytes));
    },
    close: file.close,
  };
}

/** What the page's own code opens at once, and what brings the wall back when it was left. */
function lessonBeginning(frames: readonly PageFrame[]): Markup {
  return html`<p class="no-print"><button type="button" class="wall-open" data-wall="${frames.map(({ number }) => number).join(",")}" data-begins hidden>Show the lesson on the wall</button></p>`;
}

function lead(frames: readonly PageFrame[], brief: string | null, made: Date): Markup {
  const bases = new Set(frames.flatMap(({ row }) => (row.basis === null ? [] : [row.basis])));
  return html`${brief !== null && `Brief ${basename(brief)}. `}${madeOn(made)}${bases.size === 1 && ` Stops on the ${[...bases][0]} basis.`}`;
}
