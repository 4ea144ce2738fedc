import type { FrameResult } from "../../model/result.ts";
import { errorText, outcomeText, settingsText } from "../../model/words.ts";
import { compareFrames } from "../../run/compareFrames.ts";
import { html, type Markup } from "./markup.ts";
import { boundedFigure, typeset } from "./pageWords.ts";
import type { AddressOf } from "./reportPages.ts";
import { SHEET_WORDS, type Sheet, type SheetPart } from "./sheets.ts";
import { stopScalePlot } from "./stopScalePlot.ts";
import { usedThumb } from "./thumbnail.ts";
import { wallDataElement, wallKeys } from "./wallData.ts";

/** Frames that teach side by side, on one scale, and one after the other on the wall, where the class is asked first. */
export function sheetSection(sheets: readonly Sheet[], addressOf: AddressOf): Markup | null {
  if (sheets.length === 0) return null;
  return html`<section id="sheets" aria-labelledby="sheets-title"><h2 id="sheets-title">Side by side</h2>${sheets.map((sheet) => sheetMarkup(sheet, addressOf))}</section>`;
}

function sheetMarkup({ kind, id, parts, findings }: Sheet, addressOf: AddressOf): Markup {
  const { title, question } = SHEET_WORDS[kind];
  const numbers = [...new Set(parts.map(({ frame }) => frame.number))];
  const frames = `${numbers.length === 1 ? "frame" : "frames"} ${numbers.join(", ")}`;
  const scale = parts.map(({ label, frame }) => ({ name: label, row: frame.row }));
  const placed = parts.some(({ frame }) => frame.row.placement !== null);
  return html`<article class="sheet" id="${id}" data-kind="${kind}"><header><h3>${title}: ${frames}</h3><button type="button" class="wall-open no-print" data-wall="${wallKeys(id, parts.length).join(",")}" hidden>Predict on the wall</button></header>
<p class="question">${question}</p>
<div class="row">${parts.map((part) => partMarkup(part, addressOf))}</div>
<div class="evidence">${stopScalePlot(`${placed ? "Placed and fallen" : "Where each fell"}, ${frames} on one scale`, scale)}<div>
${numbers.length > 1 ? comparisons(parts) : null}${findings}</div></div>
${wallDataElement(id, parts)}</article>`;
}

function partMarkup({ frame, label }: SheetPart, addressOf: AddressOf): Markup {
  const { name, row } = frame;
  return html`<div class="part"><div class="surround">${usedThumb(frame, label)}</div>
<p><a href="${addressOf(frame)}">${label}: ${name}</a><br>${typeset(settingsText(row.exposure))}<br><span class="${row.verdict ?? "none"}">${fallText(row)}</span></p></div>`;
}

function fallText(row: FrameResult): string {
  const { error, fall } = row;
  if (error) return typeset(`${outcomeText(row)} ${errorText(error)}`);
  return fall ? `fell at ${boundedFigure(fall)}` : outcomeText(row);
}

/** What changed from each frame to the next: in the settings, and in the tone. */
function comparisons(parts: readonly SheetPart[]): Markup {
  const steps = parts.slice(1).flatMap(({ frame }, i) => {
    const before = parts[i]?.frame;
    return before ? [{ before, frame, change: compareFrames(before.row, frame.row) }] : [];
  });
  return html`<table class="figures"><caption>From frame to frame, stops</caption><thead><tr><th scope="col">Frames</th><th scope="col" class="number-cell">Exposure changed by</th><th scope="col" class="number-cell">Tone changed by</th></tr></thead><tbody>${steps.map(
    ({ before, frame, change }) =>
      html`<tr><th scope="row">${before.number} to ${frame.number}</th><td class="number-cell">${change.givenExposureStops === null ? "–" : boundedFigure({ stops: change.givenExposureStops, bound: null })}</td><td class="number-cell">${change.fallStops ? boundedFigure(change.fallStops) : "–"}</td></tr>`,
  )}</tbody></table>`;
}
