import type { FrameResult } from "../../model/result.ts";
import { boundedStopsText, errorText, outcomeText, settingsText } from "../../model/words.ts";
import { compareFrames } from "../../run/compareFrames.ts";
import { html, type Markup } from "./markup.ts";
import type { AddressOf } from "./reportPages.ts";
import { SHEET_WORDS, type Sheet, type SheetPart } from "./sheets.ts";
import { stopScalePlot } from "./stopScalePlot.ts";
import { usedThumb } from "./thumbnail.ts";

/** A tone this near middle grey, in stops, lies at it for a class: the tolerance of rendered claims. */
const AT_GREY_STOPS = 1 / 3;

/** Frames that teach side by side, on one scale, each sheet with a mode that asks before it tells. */
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
  return html`<article class="sheet" id="${id}" data-kind="${kind}"><header><h3><span class="told">${title}: </span>${frames}</h3><button type="button" class="predict no-print" aria-pressed="false" hidden>Predict first</button></header>
<p class="${kind === "correction" ? "told" : "question"}">${question}</p>
<div class="row">${parts.map((part, at) => partMarkup(part, `${id}-${at}`, addressOf))}</div>
<div class="told evidence">${stopScalePlot(`${placed ? "Placed and fallen" : "Where each fell"}, ${frames} on one scale`, scale)}<div>
${numbers.length > 1 ? comparisons(parts) : null}${findings}</div></div>
<p class="score" role="status"></p>
</article>`;
}

function partMarkup({ frame, label }: SheetPart, group: string, addressOf: AddressOf): Markup {
  const { name, row } = frame;
  const { answer, asked } = prediction(row);
  return html`<div class="part" data-answer="${answer ?? ""}"><div class="surround">${usedThumb(frame, label)}</div>
<p><a href="${addressOf(frame)}">${label}<span class="told">: ${name}</span></a><br>${settingsText(row.exposure)}<br><span class="told ${row.verdict ?? "none"}">${fallText(row)}</span></p>
<fieldset class="guess" hidden><legend>${label} will be</legend>${asked.map(
    ([value, word]) =>
      html`<label><input type="radio" name="${group}" value="${value}"> ${word}</label>`,
  )}</fieldset></div>`;
}

function fallText(row: FrameResult): string {
  const { error, fall } = row;
  if (error) return `${outcomeText(row)} ${errorText(error)}`;
  return fall ? `fell at ${boundedStopsText(fall)}` : outcomeText(row);
}

/** What a class may be asked of a frame, and the answer; null where there is none. */
function prediction({ verdict, fall, placement }: FrameResult): {
  readonly answer: string | null;
  readonly asked: readonly (readonly [string, string])[];
} {
  if (placement) {
    return {
      answer: verdict === "undecided" ? null : verdict,
      asked: [
        ["under", "▼ darker than placed"],
        ["within", "● where it was placed"],
        ["over", "▲ lighter than placed"],
      ],
    };
  }
  const stops = fall?.stops;
  const side = stops !== undefined && stops > 0 ? "over" : "under";
  return {
    answer: stops === undefined ? null : Math.abs(stops) <= AT_GREY_STOPS ? "within" : side,
    asked: [
      ["under", "▼ below middle grey"],
      ["within", "● at middle grey"],
      ["over", "▲ above middle grey"],
    ],
  };
}

/** What changed from each frame to the next: in the settings, and in the tone. */
function comparisons(parts: readonly SheetPart[]): Markup {
  const steps = parts.slice(1).flatMap(({ frame }, i) => {
    const before = parts[i]?.frame;
    return before ? [{ before, frame, change: compareFrames(before.row, frame.row) }] : [];
  });
  return html`<table class="figures"><caption>From frame to frame, stops</caption><thead><tr><th scope="col">Frames</th><th scope="col">Exposure changed by</th><th scope="col">Tone changed by</th></tr></thead><tbody>${steps.map(
    ({ before, frame, change }) =>
      html`<tr><th scope="row">${before.number} to ${frame.number}</th><td>${change.givenExposureStops === null ? "-" : boundedStopsText({ stops: change.givenExposureStops, bound: null })}</td><td>${change.fallStops ? boundedStopsText(change.fallStops) : "-"}</td></tr>`,
  )}</tbody></table>`;
}
