import { basename } from "node:path";
import type { CheckedSet, CheckResult, CheckRow } from "../../model/checkResult.ts";
import type { FrameResult } from "../../model/result.ts";
import { type WritePlace, writePlace } from "../../run/write/writePlace.ts";
import type { FrameFacts } from "../../sets/frameFacts.ts";
import { judgeSet } from "../../sets/judgeSet.ts";
import { type CheckWatch, withoutHistograms } from "../../sets/measureSet.ts";
import { namelessFacts, namelessSet } from "../../sets/namelessSet.ts";
import type { ReadyFrame, ReadySet } from "../../sets/readySet.ts";
import { type Unit, unitsOf } from "../../sets/units.ts";
import { readableRows } from "../text/checkWords.ts";
import { checkCard, type SeenTone } from "./checkCard.ts";
import { checkBar, checkHeading, checkOverview, type ToldClaim } from "./checkOverview.ts";
import { relationSheet } from "./checkSheets.ts";
import { cardsWait } from "./frameFold.ts";
import { frameCode, nameless } from "./frameNames.ts";
import { type FrameView, frameView, type ViewSize } from "./frameView.ts";
import { pageAssets } from "./pageAssets.ts";
import type { PageFrame } from "./pageFrame.ts";
import { MOST_BYTES, type PageOptions, type PageReport } from "./pageReport.ts";
import { reportFile } from "./reportFile.ts";
import { type AddressOf, type Card, reportPages } from "./reportPages.ts";
import { sheetSection } from "./sheetSection.ts";
import { SHEET_WORDS, type Sheet } from "./sheets.ts";
import { viewSize } from "./viewSize.ts";

/** A report of a check in the making. */
export interface CheckReport extends CheckWatch, Pick<PageReport, "close"> {
  /**
   * Writes the pages, each whole or not at all.
   *
   * @param result - of the check that was watched
   * @returns their paths, the page to open first
   * @throws {@link GraderError} `bad-option` where they cannot be written
   */
  write(result: CheckResult): Promise<string[]>;
}

/** A set as the page tells it, and what is known of it so far. */
interface ShownSet {
  readonly set: ReadySet;
  readonly units: readonly Unit[];
  /** Of all frames before its own. */
  readonly framesBefore: number;
  readonly severalSets: boolean;
  readonly frames: Map<number, { readonly frame: PageFrame; readonly card: Card }>;
  readonly facts: Map<string, FrameFacts>;
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
  const views = new Map<ReadyFrame, { readonly row: FrameResult; readonly view: FrameView }[]>();
  return {
    begin: (all) => {
      total = all.reduce((sum, { frames }) => sum + frames.length, 0);
      size = viewSize(pictures, total);
      let framesBefore = 0;
      for (const [i, set] of all.entries()) {
        const numberOf = (id: string): number =>
          framesBefore + set.frames.findIndex((frame) => frame.id === id) + 1;
        const shown = anonymous
          ? namelessSet(set, (id) => frameCode(numberOf(id), total), `Set ${i + 1}`)
          : set;
        sets.set(set, {
          set: shown,
          units: unitsOf(shown),
          framesBefore,
          severalSets: all.length > 1,
          frames: new Map(),
          facts: new Map(),
        });
        framesBefore += set.frames.length;
      }
    },
    look: async (_set, frame, seen) => {
      const before = views.get(frame) ?? [];
      // One picture a frame; the other tones have histograms of their own.
      const view = await frameView(seen, before.length === 0 ? size : null);
      views.set(frame, [...before, { row: seen.row, view }]);
    },
    measured: async (source, units, frame, facts) => {
      const shown = sets.get(source);
      if (!shown) return;
      const at = source.frames.indexOf(frame);
      const ready = shown.set.frames[at] as ReadyFrame;
      const known = anonymous ? withoutNames(facts, ready.id) : facts;
      const number = shown.framesBefore + at + 1;
      const seen = tonesSeen(known, views.get(frame) ?? []);
      views.delete(frame);
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
      const own = units.flatMap(({ unit }) => shown.units[unit] ?? []);
      const claims = judgeSet(shown.set, own, new Map([[ready.id, known]]), []).rows;
      const setName = shown.severalSets ? shown.set.name : null;
      const checked = { frame: page, ready, facts: known, claims, setName };
      const markup = checkCard(checked, seen, cardsWait(total));
      const piece = await file.keep(markup);
      shown.frames.set(at, { frame: page, card: { number, id, piece } });
      shown.facts.set(ready.id, withoutHistograms(known));
    },
    write: async (result) => {
      const all = result.sets.map((checked, i) => {
        const shown = [...sets.values()][i] as ShownSet;
        return { shown, rows: namedRows(shown, checked, anonymous) };
      });
      const sheets = all.flatMap(({ shown, rows }, i) => sheetsOf(shown, rows, i));
      const checkedSets = all.map(({ shown: { set }, rows }, i) => ({
        ...(result.sets[i] as CheckedSet),
        file: set.path,
        name: set.name,
        rows,
      }));
      const claims = all
        .flatMap(({ shown }, i) =>
          readableRows({ sets: checkedSets.slice(i, i + 1) }).map(({ row, resting }) => ({
            ...claimOf(row, shown, sheets, i),
            resting,
          })),
        )
        .map((claim, i) => ({ ...claim, number: i + 1 }));
      const head = (addressOf: AddressOf) => [
        checkOverview({ sets: checkedSets }, claims, pageFrames, addressOf),
        sheetSection(sheets, addressOf),
      ];
      const pageFrames = all.flatMap(({ shown }) =>
        [...shown.frames.values()].map(({ frame }) => frame),
      );
      const cards = all.flatMap(({ shown }) =>
        [...shown.frames].sort(([a], [b]) => a - b).map(([, { card }]) => card),
      );
      const report = {
        ...checkHeading(checkedSets, new Date()),
        bar: checkBar(result.summary),
        head,
        nav: [
          { href: "#claims", text: "Claims" },
          ...(sheets.length > 0 ? [{ href: "#sheets", text: "Side by side" }] : []),
        ],
        cards,
      };
      return file.write(reportPages(report, await pageAssets(), basename(place.path), mostBytes));
    },
    close: file.close,
  };
}

/** Tones that were seen, their rows finished, each once. */
function tonesSeen(
  { tones }: FrameFacts,
  seen: readonly { readonly row: FrameResult; readonly view: FrameView }[],
): SeenTone[] {
  const rows = [...tones.values()];
  return seen.flatMap(({ row: { region, basis }, view }, i) => {
    const again = seen.findIndex(({ row }) => row.region === region && row.basis === basis) < i;
    const row = rows.find((one) => one.region === region && one.basis === basis);
    if (!row || again) return [];
    // Measuring knew no placement, and had to be given one for its uncertainty.
    const bare = { placement: null, error: null, verdict: null, causes: [], next: null };
    return [{ row: { ...row, ...bare }, view }];
  });
}

function withoutNames(facts: FrameFacts, code: string): FrameFacts {
  const tones = [...facts.tones].map(
    ([key, row]) => [key, nameless(row, code, new Map())] as const,
  );
  const shown = namelessFacts(facts, code);
  return { ...shown, tones: new Map(tones) };
}

/** The rows of a checked set as the page tells them. */
function namedRows({ set, units, facts }: ShownSet, checked: CheckedSet, anonymous: boolean) {
  if (!anonymous) return checked.rows;
  const ran = new Set(checked.rows.map(({ unit }) => unit));
  const extras = checked.rows.filter(({ code }) => code === "extra-file");
  return judgeSet(
    set,
    units.filter(({ unit }) => ran.has(unit)),
    facts,
    extras.map((_, i) => `extra file ${i + 1}`),
  ).rows;
}

function sheetsOf(
  { set, units, frames, facts }: ShownSet,
  rows: readonly CheckRow[],
  index: number,
): Sheet[] {
  const byName = new Map([...frames.values()].map(({ frame }) => [frame.name, frame]));
  return units.flatMap((one) => {
    if (one.kind !== "relation") return [];
    const own = rows.filter(({ unit }) => unit === one.unit);
    const id = sheetId(index, one.unit - set.frames.length);
    const shown = { facts, frameOf: (name: string) => byName.get(name) };
    return own.length > 0 ? (relationSheet(one.relation, id, own, shown) ?? []) : [];
  });
}

function sheetId(set: number, relation: number): string {
  return `set-${set + 1}-sheet-${relation + 1}`;
}

function claimOf(
  row: CheckRow,
  { set, frames }: ShownSet,
  sheets: readonly Sheet[],
  index: number,
): Omit<ToldClaim, "number" | "resting"> {
  const sheet = sheets.find(({ id }) => id === sheetId(index, row.unit - set.frames.length));
  const named = [...frames.values()]
    .filter(({ frame }) => row.frames.includes(frame.name))
    .sort((a, b) => a.frame.number - b.frame.number);
  const first = named[0]?.frame;
  const at = sheet
    ? { id: sheet.id, name: framesText(named.map(({ frame }) => frame)) }
    : first && { id: first.id, name: first.name };
  return {
    setName: set.name,
    setFile: set.path,
    row,
    title: titleOf(
      row,
      named.map(({ frame }) => frame),
    ),
    at: at ? { ...at, onSheet: sheet !== undefined } : null,
    frame: first ?? null,
  };
}

/** What a claim is about, as people say it. */
function titleOf({ kind, frames }: CheckRow, named: readonly PageFrame[]): string {
  const [first] = named;
  if (kind in SHEET_WORDS) {
    const { title } = SHEET_WORDS[kind as keyof typeof SHEET_WORDS];
    return named.length > 0 ? `${title}: ${framesText(named)}` : title;
  }
  if (first) return `Frame ${first.number}, ${first.name}`;
  return frames.length > 0 ? frames.join(", ") : "The set";
}

function framesText(frames: readonly PageFrame[]): string {
  return `${frames.length === 1 ? "frame" : "frames"} ${frames.map(({ number }) => number).join(", ")}`;
}
