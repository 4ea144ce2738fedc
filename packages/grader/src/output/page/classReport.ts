import { basename } from "node:path";
import pMap from "p-map";
import { termProgress } from "../../classes/progress/termProgress.ts";
import { readTemplates, type SheetTemplates } from "../../classes/sheets/sheetTemplates.ts";
import { studentSheets } from "../../classes/sheets/studentSheet.ts";
import type { MarkedClass, MarkedFrame } from "../../model/markedClass.ts";
import { countText } from "../../model/words.ts";
import { type WritePlace, writePlace } from "../../run/write/writePlace.ts";
import { sheetText } from "../text/sheetText.ts";
import { type ClassCard, classCard } from "./classCards.ts";
import { classOverview } from "./classOverview.ts";
import { classPicture } from "./classPicture.ts";
import { madeOn } from "./madeOn.ts";
import { html } from "./markup.ts";
import { classAssets, lookAssets } from "./pageAssets.ts";
import { pageShell } from "./pageShell.ts";
import { type Part, type Piece, pagesFolder, reportFile } from "./reportFile.ts";

/** What a class page may show. */
export interface ClassReportOptions {
  /** Opens a frame's file, by the name that results show; null where there is none. */
  readonly pathOf: (file: string) => string | null;
  /**
   * `none`: figures and words alone.
   * @default "regions"
   */
  readonly pictures?: "none" | "regions";
  /**
   * Names in place of codes.
   * @default the codes
   */
  readonly nameOf?: (student: string) => string;
  /**
   * Words of the feedback to copy.
   * @default the English ones
   */
  readonly templates?: SheetTemplates;
  /**
   * When the page was made.
   * @default now
   */
  readonly made?: Date;
}

/** Longer side of the pictures, pixels. */
const PICTURE = 420;

/** Pictures made at once. */
const AT_ONCE = 4;

/**
 * Writes the page of a class, and beside it one page of frames for each exercise. The page itself holds no picture, so that
 * a whole term opens at once.
 *
 * @param target - path of the page to open, or the place claimed for it
 * @returns the paths of all pages, the one to open first
 * @throws {@link GraderError} `bad-option` where nothing can be written there, `would-overwrite` where something is that has
 *   to stay
 */
export async function classReport(
  target: string | WritePlace,
  marked: MarkedClass,
  options: ClassReportOptions,
): Promise<string[]> {
  const place =
    typeof target === "string"
      ? writePlace({ path: target, kind: "html", option: "--report" })
      : target;
  const { pictures = "regions", nameOf = (student) => student, made = new Date() } = options;
  const templates = options.templates ?? (await readTemplates()).templates;
  const name = basename(place.path);
  const cards = cardsOf(marked);
  const addresses = new Map(
    cards.map(({ card, page }) => [
      card.frame,
      `${encodeURIComponent(pagesFolder(name))}/${page}#${card.id}`,
    ]),
  );
  const file = await reportFile(place);
  try {
    const pieces = await pMap(
      cards,
      async ({ card }): Promise<Piece> => {
        const path = pictures === "none" ? null : options.pathOf(card.frame.file);
        const picture = path === null ? null : await classPicture(path, PICTURE);
        return file.keep(classCard(card, picture, nameOf));
      },
      { concurrency: AT_ONCE },
    );
    const overview = classOverview({
      ...{ marked, nameOf },
      term: termProgress(marked),
      addressOf: (frame: MarkedFrame) => addresses.get(frame) ?? null,
      feedback: feedbackTexts(marked, templates, nameOf),
    });
    const [before, after] = pageShell(await classAssets(), {
      title: marked.class,
      lead: html`${countText(marked.students.length, "student")}, ${countText(marked.exercises.length, "exercise")}. ${madeOn(made)}`,
      nav: [
        { href: "#matrix", text: "Matrix" },
        { href: "#progress", text: "Progress" },
        { href: "#feedback", text: "Feedback" },
      ],
      skipTo: { href: "#matrix", text: "Skip to the matrix" },
    });
    const look = await lookAssets("class");
    const pages = new Map<string, readonly Part[]>([[name, [before, overview, after]]]);
    for (const [i, { id, title }] of marked.exercises.entries()) {
      const [head, foot] = pageShell(look, {
        title: `${marked.class}: ${title ?? id}`,
        nav: [{ href: `../${encodeURIComponent(name)}`, text: "The class" }],
      });
      const own = cards.flatMap(({ page, card }, at): Part[] => {
        if (page !== pageOf(i)) return [];
        const { student } = card.row;
        const isFirst = cards[at - 1]?.page !== page || cards[at - 1]?.card.row.student !== student;
        return [...(isFirst ? [html`<h2>${nameOf(student)}</h2>`] : []), pieces[at] as Piece];
      });
      const nothing = html`<p>Nothing was handed in.</p>`;
      pages.set(`${pagesFolder(name)}/${pageOf(i)}`, [
        head,
        ...(own.length > 0 ? own : [nothing]),
        foot,
      ]);
    }
    return await file.write(pages);
  } finally {
    await file.close();
  }
}

/** Every frame with the page that its card stands on, exercise by exercise and student by student. */
function cardsOf({
  exercises,
}: MarkedClass): { readonly card: ClassCard; readonly page: string }[] {
  return exercises.flatMap((exercise, i) =>
    exercise.rows
      .flatMap((row) => row.frames.map((frame) => ({ row, frame })))
      .map(({ row, frame }, at) => ({
        card: { id: `frame-${at + 1}`, exercise, row, frame },
        page: pageOf(i),
      })),
  );
}

function pageOf(exercise: number): string {
  return `${String(exercise + 1).padStart(3, "0")}.html`;
}

function feedbackTexts(
  marked: MarkedClass,
  templates: SheetTemplates,
  nameOf: (student: string) => string,
): Record<string, string> {
  return Object.fromEntries(
    marked.exercises.map((exercise) => {
      const sheets = studentSheets({ ...marked, exercises: [exercise] }, templates, nameOf);
      return [exercise.id, sheets.map((sheet) => sheetText(sheet, templates)).join("\n\n")];
    }),
  );
}
