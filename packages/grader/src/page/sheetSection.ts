import { boundedStopsText, errorText, outcomeText, settingsText } from "../report/words.ts";
import { compareFrames } from "../run/compareFrames.ts";
import { html, type Markup } from "./markup.ts";
import type { PageFrame } from "./pageFrame.ts";
import { type Sheet, sheets } from "./sheets.ts";
import { stopScalePlot } from "./stopScalePlot.ts";

/** Frames that teach side by side, on one scale, each sheet with a mode that asks before it tells. */
export function sheetSection(frames: readonly PageFrame[]): Markup | null {
  const found = sheets(frames);
  if (found.length === 0) return null;
  return html`<section id="sheets" aria-labelledby="sheets-title"><h2 id="sheets-title">Side by side</h2>${found.map(sheetMarkup)}</section>`;
}

function sheetMarkup({ title, question, frames, kind }: Sheet, index: number): Markup {
  const scale = frames.map(({ number, row }) => ({ name: `Frame ${number}`, row }));
  return html`<article class="sheet" data-kind="${kind}"><header><h3><span class="told">${title}: </span>frames ${frames.map(({ number }) => number).join(", ")}</h3><button type="button" class="predict no-print" aria-pressed="false" hidden>Predict first</button></header>
<p class="${kind === "corrected" ? "told" : "question"}">${question}</p>
<div class="row">${frames.map((frame) => framePart(frame, index))}</div>
<div class="told">${stopScalePlot(`Placed and fallen, frames ${frames.map(({ number }) => number).join(", ")} on one scale`, scale)}
${comparisons(frames)}</div>
<p class="score" role="status"></p>
</article>`;
}

function framePart({ number, name, id, page, row, view }: PageFrame, index: number): Markup {
  const picture = view?.thumbnail;
  const group = `sheet-${index}-${number}`;
  return html`<div class="part" data-verdict="${row.verdict ?? ""}"><div class="surround">${picture ? html`<img src="${picture.source}" width="${picture.width}" height="${picture.height}" alt="Frame ${number}">` : null}</div>
<p><a href="${page}#${id}">Frame ${number}<span class="told">: ${name}</span></a><br>${settingsText(row.exposure)}<br><span class="told ${row.verdict ?? "none"}">${outcomeText(row)}${row.error ? ` ${errorText(row.error)}` : ""}</span></p>
<fieldset class="guess" hidden><legend>Frame ${number} will be</legend>${[
    ["under", "▼ darker"],
    ["within", "within"],
    ["over", "▲ lighter"],
  ].map(
    ([value, word]) =>
      html`<label><input type="radio" name="${group}" value="${value ?? ""}"> ${word ?? ""}</label>`,
  )}</fieldset></div>`;
}

/** What changed from each frame to the next: in the settings, and in the tone. */
function comparisons(frames: readonly PageFrame[]): Markup {
  const steps = frames.slice(1).flatMap((frame, i) => {
    const before = frames[i];
    return before ? [{ before, frame, change: compareFrames(before.row, frame.row) }] : [];
  });
  return html`<table class="figures"><caption>From frame to frame, stops</caption><thead><tr><th scope="col">Frames</th><th scope="col">Settings let in</th><th scope="col">The tone fell</th></tr></thead><tbody>${steps.map(
    ({ before, frame, change }) =>
      html`<tr><th scope="row">${before.number} to ${frame.number}</th><td>${change.givenExposureStops === null ? "-" : boundedStopsText({ stops: change.givenExposureStops, bound: null })}</td><td>${change.fallStops ? boundedStopsText(change.fallStops) : "-"}</td></tr>`,
  )}</tbody></table>`;
}
