import { basename } from "node:path";
import type { CheckResult } from "../../model/checkResult.ts";
import type { FrameResult } from "../../model/result.ts";
import { type WritePlace, writePlace } from "../../run/write/writePlace.ts";
import type { FrameFacts } from "../../sets/frameFacts.ts";
import { judgeSet } from "../../sets/judgeSet.ts";
import { type CheckWatch, withoutHistograms } from "../../sets/measureSet.ts";
import { namelessFacts } from "../../sets/namelessSet.ts";
import type { ReadyFrame, ReadySet } from "../../sets/readySet.ts";
import { checkCard, type SeenTone } from "./checkCard.ts";
import { checkBar, checkHeading, checkOverview } from "./checkOverview.ts";
import { cardsWait } from "./frameFold.ts";
import { nameless } from "./frameNames.ts";
import type { FrameView, ViewSize } from "./frameView.ts";
import { framesOf, type OpenedFrame, openKeptCheck } from "./keptCheck.ts";
import { pageAssets } from "./pageAssets.ts";
import type { PageFrame } from "./pageFrame.ts";
import { MOST_BYTES, type PageOptions, type PageReport } from "./pageReport.ts";
import { reportFile } from "./reportFile.ts";
import { type AddressOf, reportPages } from "./reportPages.ts";
import { sheetSection } from "./sheetSection.ts";
import { type ShownSet, shownSets } from "./shownSets.ts";
import { toldCheck } from "./toldCheck.ts";
import { toneViews } from "./toneViews.ts";
import { viewSize } from "./viewSize.ts";

/** A report of a check in the making. */
export interface CheckReport extends CheckWatch, Pick<PageReport, "close"> {
  /**
   * Takes what a part of a check kept, in place of watching it; the report then needs no picture.
   *
   * @param part - of a check that a {@link checkKeeper} watched; each part once, in their order
   * @throws {@link GraderError} `bad-option` where it keeps nothing, or what is damaged
   */
  show(part: CheckResult): Promise<void>;
  /**
   * Writes the pages, each whole or not at all.
   *
   * @param result - of the check that was watched, or what {@link mergeChecks} gives of the parts that were shown
   * @returns their paths, the page to open first
   * @throws {@link GraderError} `bad-option` where they cannot be written
   */
  write(result: CheckResult): Promise<string[]>;
}

/**
 * Begins a report of a check for people to look at: each frame of the sets with its claims, and each relation as frames
 * side by side.
 *
 * @param target - path of the page to open, or the place claimed for it; further pages go into a folder beside it
 * @throws {@link GraderError} `bad-option` where nothing can be written there, `would-overwrite` where something is that
 *   has to stay
 *
 * @example
 * ```ts
 * const report = await checkReport("report.html");
 * try {
 *   await report.write(await checkSets(["set.yaml"], { watch: report }));
 * } finally {
 *   await report.close();
 * }
 * ```
 */
export async function checkReport(
  target: string | WritePlace,
  { pictures = "regions", anonymous = false, mostBytes = MOST_BYTES }: PageOptions = {},
): Promise<CheckReport> {
  let size: ViewSize | null = viewSize(pictures, 0);
  let total = 0;
  const place =
    typeof target === "string"
      ? writePlace({ path: target, kind: "html", option: "--report" })
      : target;
  const file = await reportFile(place);
  const sets = new Map<ReadySet, ShownSet>();
  const views = toneViews();

  function begin(all: readonly ReadySet[]): void {
    total = framesOf(all);
    size = viewSize(pictures, total);
    for (const [i, shown] of shownSets(all, anonymous).entries()) {
      sets.set(all[i] as ReadySet, shown);
    }
  }

  /** @param own - places of the frame's own units; none where another shard checks it */
  async function add(
    shown: ShownSet,
    at: number,
    own: readonly number[],
    { facts, views }: Pick<OpenedFrame, "facts" | "views">,
  ): Promise<void> {
    const ready = shown.set.frames[at] as ReadyFrame;
    const known = anonymous ? withoutNames(facts, ready.id) : facts;
    const number = shown.framesBefore + at + 1;
    const seen = tonesSeen(known, views);
    const id = `frame-${number}`;
    const first = seen[0]?.view;
    const page: PageFrame = {
      number,
      id,
      name: ready.id,
      folder: ready.id === ready.file ? "" : ready.file,
      row: seen[0]?.row ?? ([...known.tones.values()][0] as FrameResult),
      thumbnail: first?.thumbnail ?? null,
    };
    const units = own.flatMap((unit) => shown.units[unit] ?? []);
    const claims = judgeSet(shown.set, units, new Map([[ready.id, known]]), []).rows;
    const setName = shown.severalSets ? shown.set.name : null;
    const checked = { frame: page, ready, facts: known, claims, setName };
    const markup = checkCard(checked, seen, cardsWait(total));
    const piece = await file.keep(markup);
    shown.frames.set(at, { frame: page, card: { number, id, piece } });
    shown.facts.set(ready.id, withoutHistograms(known));
  }

  return {
    begin,
    look: (_set, _units, frame, seen) => views.look(frame, seen, size),
    measured: async (source, units, frame, facts) => {
      const shown = sets.get(source);
      if (!shown) return;
      const own = units.map(({ unit }) => unit);
      const seen = { facts, views: views.take(frame, facts.tones) };
      await add(shown, source.frames.indexOf(frame), own, seen);
    },
    show: async (part) => {
      const opened = openKeptCheck(part);
      if (sets.size === 0) begin(opened.sets);
      for (const frame of opened.frames) {
        const shown = [...sets.values()][frame.set];
        // The units of a set begin with its frames.
        if (shown) await add(shown, frame.at, [frame.at], frame);
      }
    },
    write: async (result) => {
      const shown = [...sets.values()];
      const told = toldCheck(shown, result, anonymous);
      // Frames are measured side by side, and come as they are ready.
      const inOrder = shown.flatMap(({ frames }) =>
        [...frames].sort(([a], [b]) => a - b).map(([, shownFrame]) => shownFrame),
      );
      const pageFrames = inOrder.map(({ frame }) => frame);
      const report = {
        ...checkHeading(told.sets, new Date()),
        bar: checkBar(result.summary),
        head: (addressOf: AddressOf) => [
          checkOverview({ sets: told.sets }, told.claims, pageFrames, addressOf),
          sheetSection(told.sheets, addressOf),
        ],
        nav: [
          { href: "#claims", text: "Claims" },
          ...(told.sheets.length > 0 ? [{ href: "#sheets", text: "Side by side" }] : []),
        ],
        cards: inOrder.map(({ card }) => card),
      };
      return file.write(reportPages(report, await pageAssets(), basename(place.path), mostBytes));
    },
    close: file.close,
  };
}

/** Tones that were seen, as their rows stand without a placement: measuring knew none, and had to be given one for its uncertainty. */
function tonesSeen({ tones }: FrameFacts, views: ReadonlyMap<string, FrameView>): SeenTone[] {
  const bare = { placement: null, error: null, verdict: null, causes: [], next: null };
  return [...views].map(([key, view]) => ({
    row: { ...(tones.get(key) as FrameResult), ...bare },
    view,
  }));
}

function withoutNames(facts: FrameFacts, code: string): FrameFacts {
  const tones = [...facts.tones].map(
    ([key, row]) => [key, nameless(row, code, new Map())] as const,
  );
  const shown = namelessFacts(facts, code);
  return { ...shown, tones: new Map(tones) };
}
