import { filled, type SheetTemplates } from "../../classes/sheets/sheetTemplates.ts";
import type { SheetExercise, SheetFrame, StudentSheet } from "../../classes/sheets/studentSheet.ts";
import type { FrameView } from "./frameView.ts";
import { html, type Markup } from "./markup.ts";
import type { PageAssets } from "./pageAssets.ts";
import { pageShell } from "./pageShell.ts";
import { typeset } from "./pageWords.ts";
import { regionPicture } from "./regionPicture.ts";
import { VERDICT_MARKS } from "./wording.ts";

/** Finds the picture of a frame, by the name that results show; null where none is to be shown. */
export type PictureOf = (file: string) => FrameView["picture"];

/**
 * A student's sheet as a page: one A4 page for each exercise of up to four frames. It holds that student's frames alone, and
 * runs no code.
 */
export function sheetPage(
  { shownAs, exercises }: StudentSheet,
  templates: SheetTemplates,
  pictureOf: PictureOf,
  assets: PageAssets,
): Markup {
  const [only] = exercises;
  const title = exercises.length === 1 && only ? only.title : shownAs;
  const [before, after] = pageShell(assets, { title });
  return html`${before}${exercises.map((exercise) => exerciseSection(exercise, exercises.length > 1, templates, pictureOf))}${after}`;
}

function exerciseSection(
  { title, summary, frames, missing, cautions }: SheetExercise,
  titled: boolean,
  templates: SheetTemplates,
  pictureOf: PictureOf,
): Markup {
  const isOutlined = ({ file, frame }: SheetFrame): boolean =>
    frame.row.region !== null && pictureOf(file) !== null;
  return html`<section class="exercise${frames.length > 2 ? " full" : ""}">${titled && html`<h2>${title}</h2>`}
<p class="summary">${summary}</p>
${frames.some(isOutlined) && html`<p class="quiet small">${filled(templates, "region-marked")}</p>`}
${frames.map((frame) => frameSection(frame, templates, pictureOf(frame.file)))}
${missing.length > 0 && html`<ul class="missing">${missing.map((one) => html`<li>${one}</li>`)}</ul>`}
${cautions.length > 0 && html`<aside class="caution"><h3>${filled(templates, "caution-heading")}</h3>${cautions.map((one) => html`<p>${one}</p>`)}</aside>`}
</section>`;
}

function frameSection(
  { file, task, asked, level, teacher, words, frame }: SheetFrame,
  templates: SheetTemplates,
  picture: FrameView["picture"],
): Markup {
  const { verdict, region } = frame.row;
  const heading = (key: string): string => filled(templates, key);
  return html`<article class="sheet-frame">
${regionPicture(task, { picture }, region === null ? [] : [{ name: null, region }], false)}
<div class="said"><h3>${task}</h3><p class="quiet small">${typeset([asked, level, shortName(file)].filter(Boolean).join(" · "))}</p>
<p class="verdict ${verdict ?? "none"}"><span class="mark" aria-hidden="true">${VERDICT_MARKS[verdict ?? ""] ?? ""}</span> ${typeset(words.verdict)}</p>
<dl>${words.cause !== null && html`<dt>${heading("why-heading")}</dt><dd>${typeset(words.cause)}</dd>`}
<dt>${heading("next-heading")}</dt><dd>${typeset(words.next)}</dd>
<dt>${heading("well-heading")}</dt><dd>${typeset(words.well)}</dd></dl>
${teacher && html`<p class="teacher">${teacher}</p>`}</div></article>`;
}

function shortName(file: string): string {
  return file.split("/").at(-1) ?? file;
}
