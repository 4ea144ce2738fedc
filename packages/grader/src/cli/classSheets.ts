import { dirname, join, relative, resolve } from "node:path";
import pMap from "p-map";
import type { ReadyClass } from "../classes/classFile.ts";
import { findHandIns } from "../classes/findHandIns.ts";
import type { SheetTemplates } from "../classes/sheets/sheetTemplates.ts";
import type { StudentSheet } from "../classes/sheets/studentSheet.ts";
import { GraderError } from "../model/errors.ts";
import { sheetText } from "../output/text/sheetText.ts";
import type { WritePlace } from "../run/write/writePlace.ts";
import { claimPlaces, makeFolder, type RunFiles, writeResult } from "./output.ts";
import { pageCode } from "./pageFlags.ts";
import type { Streams } from "./streams.ts";

/** Where a student's sheet goes. */
export interface SheetPlaces {
  readonly folder: string;
  /** By the student's code. */
  readonly places: ReadonlyMap<string, { readonly page: WritePlace; readonly text: WritePlace }>;
}

/** Longer side of the pictures, pixels: on paper half a page wide. */
const PICTURE = 640;

/** Pictures made at once. */
const AT_ONCE = 4;

/**
 * Claims a page and a text for each student of a class.
 *
 * @throws {@link GraderError} `bad-option` where the folder is one of hand-ins, `would-overwrite` where something stands in a
 *   place that has to stay
 */
export async function claimSheets(
  ready: ReadyClass,
  folder: string,
  files: RunFiles,
): Promise<SheetPlaces> {
  const { handIns } = await findHandIns(ready);
  for (const { path } of handIns) requireApart(folder, dirname(path));
  const places = ready.students.map(({ code }) => {
    const [page, text] = claimPlaces(
      [
        { path: join(folder, `${code}.html`), kind: "html", option: "--sheets" },
        { path: join(folder, `${code}.txt`), kind: "sheet", option: "--sheets" },
      ],
      files,
    ) as [WritePlace, WritePlace];
    return [code, { page, text }] as const;
  });
  return { folder, places: new Map(places) };
}

/** Nothing is written among hand-ins. */
function requireApart(folder: string, ofHandIns: string): void {
  const way = relative(resolve(ofHandIns), resolve(folder));
  if (way !== "" && (way.startsWith("..") || resolve(way) === way)) return;
  throw new GraderError(
    "bad-option",
    `Expected a folder of its own for --sheets but hand-ins lie in ${folder}; name another`,
  );
}

/** Writes every student's sheet as a page and as a text, and gives how many students there are. */
export async function writeSheets(
  sheets: readonly StudentSheet[],
  templates: SheetTemplates,
  { folder, places }: SheetPlaces,
  pathOf: (file: string) => string | null,
  streams: Streams,
): Promise<number> {
  await makeFolder(folder, "--sheets");
  const { sheetPage, classPicture, lookAssets } = await pageCode();
  const assets = await lookAssets("sheet");
  for (const sheet of sheets) {
    const place = places.get(sheet.student);
    if (!place) continue;
    const files = sheet.exercises.flatMap(({ frames }) => frames.map(({ file }) => file));
    const pictures = new Map(
      await pMap(
        files,
        async (file) => {
          const path = pathOf(file);
          return [file, path === null ? null : await classPicture(path, PICTURE)] as const;
        },
        { concurrency: AT_ONCE },
      ),
    );
    const page = sheetPage(sheet, templates, (file) => pictures.get(file) ?? null, assets);
    await writeResult(page.text, place.page, streams);
    await writeResult(`${SHEET_MARK}${sheetText(sheet, templates)}`, place.text, streams);
  }
  return sheets.length;
}

/** Begins every sheet, so that a newer one may take its place. */
const SHEET_MARK = "Tonefall: ";
