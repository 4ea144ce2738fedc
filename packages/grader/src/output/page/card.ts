import { compensationWords, lightWords } from "../../judge/advice/lightWords.ts";
import { feedbackFor } from "../../judge/feedback/feedbackFor.ts";
import { type Cause, type Evidence, MOST_CAUSES_SHOWN } from "../../model/cause.ts";
import type { FrameResult } from "../../model/result.ts";
import {
  boundedStopsText,
  errorText,
  outcomeText,
  percentText,
  placementText,
  settingsText,
  stopsText,
} from "../../model/words.ts";
import { frameDataElement } from "./frameData.ts";
import type { FrameView } from "./frameView.ts";
import { histogramPlots, tonesTable } from "./histogramPlots.ts";
import { html, type Markup } from "./markup.ts";
import type { PageFrame } from "./pageFrame.ts";
import { regionPicture } from "./regionPicture.ts";
import { settingsTable } from "./settingsTable.ts";
import { spotPlace } from "./spotPlace.ts";
import { stopScalePlot } from "./stopScalePlot.ts";
import { CAUSE_WORDS, VERDICT_MARKS } from "./wording.ts";

/** One frame in full: the picture and its region, the stop scale, histograms, words and settings. */
export function card({ row, name, id, number, folder }: PageFrame, view: FrameView | null): Markup {
  return html`<article class="card" id="${id}" tabindex="-1">
<header><h3><span class="number">${number}</span> ${name}</h3>${verdictLine(row)}</header>
${
  row.failure
    ? html`<p class="failure">Not graded: ${row.failure.message}.</p>`
    : html`<div class="card-body">${view && regionPicture(name, view, row.region === null ? [] : [{ name: null, region: row.region }])}<div class="findings">
${row.fall || row.placement ? stopScalePlot("Where the tone was placed, and where it fell", [{ name, row }]) : null}
${words(row)}</div></div>
${view ? html`<div class="histograms">${histogramPlots(row, view)}</div>` : null}
<div class="more">
<details><summary>Figures</summary><div class="tables">${figuresTable(row)}${view && tonesTable(row, view)}</div></details>
${settingsTable(row.exposure)}
</div>
${view && spotPlace(id, view, { row, name })}`
}
${frameDataElement({ row, name, id, number, folder, thumbnail: null })}</article>`;
}

function verdictLine(row: FrameResult): Markup {
  const { verdict, error } = row;
  const mark = verdict ? VERDICT_MARKS[verdict] : "";
  const word = outcomeText(row).replace(/^[▲▼] /, "");
  return html`<p class="verdict ${verdict ?? "none"}"><span class="mark" aria-hidden="true">${mark ?? ""}</span> <strong>${word}</strong>${error ? html` <span class="error">${errorText(error)} stops</span>` : null}</p>`;
}

function words(row: FrameResult): Markup {
  const feedback = row.feedback ?? feedbackFor(row, row.causes, "student");
  const told = row.causes.slice(0, MOST_CAUSES_SHOWN);
  return html`<div class="words">
${row.error && row.verdict !== "within" ? html`<p class="spoken">${spoken(row)}</p>` : null}
${feedback ? html`<p class="feedback">${feedback.text}</p>${feedback.cautions.map((caution) => html`<p class="caution"><strong>Take care.</strong> ${caution}</p>`)}` : null}
${
  told.length > 0
    ? html`<h4>Why</h4><ul class="causes">${told.map(({ code, strength, evidence }) => html`<li><strong>${CAUSE_WORDS[code]}</strong>${supportText(strength)}<ul>${evidence.map(evidenceItem)}</ul></li>`)}</ul>`
    : null
}
${nextSettings(row)}
${row.notes.length > 0 ? html`<details class="notes"><summary>${row.notes.length === 1 ? "1 note" : `${row.notes.length} notes`}</summary><ul>${row.notes.map(({ message }) => html`<li>${message}</li>`)}</ul></details>` : null}
</div>`;
}

function supportText(strength: Cause["strength"]): string {
  if (strength === null) return "";
  return strength === "strong" ? " (well supported)" : " (fairly supported)";
}

/** How far the tone missed, by the one figure of the advice. */
function spoken({ next, verdict }: FrameResult): string {
  if (!next || verdict === "undecided") {
    return "The error is too close to the tolerance, or too uncertain, to say.";
  }
  const over = verdict === "over";
  const size = lightWords(next);
  if (size === null) return `Too ${over ? "light" : "dark"} by more than can be measured.`;
  return `${sentenceCase(size)} ${over ? "lighter" : "darker"} than placed.`;
}

function nextSettings({ next, exposure }: FrameResult): Markup | null {
  if (!next) return null;
  const size = lightWords(next);
  if (size === null || next.stops === null) {
    return html`<h4>Next time</h4><p>Start again from a meter reading.</p>`;
  }
  const direction = next.stops > 0 ? "more" : "less";
  const settings = next.ways.filter(({ to }) => to !== null);
  const ways = [
    ...(next.compensation === null
      ? []
      : [html`<li>compensation at ${compensationWords(next.compensation, next.step)}</li>`]),
    ...(exposure
      ? settings.map(
          ({ setting, to, costs }) =>
            html`<li>${settingsOf(exposure, setting, to as number)}${costs.length > 0 ? html` <span class="cost">${costs.map(({ message }) => message).join(" ")}</span>` : null}</li>`,
        )
      : []),
  ];
  return html`<h4>Next time</h4><p>Give ${size} ${direction} light${ways.length > 0 ? ", in one of these ways:" : "."}</p>${ways.length > 0 ? html`<ul class="ways">${ways}</ul>` : null}`;
}

function sentenceCase(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Evidence that gives another figure for what to do is folded, with the reason why it differs. */
function evidenceItem({ code, message }: Evidence): Markup {
  return code === "compensation-wanted"
    ? html`<li><details><summary>Another figure</summary>${message} It is in stops of light and assumes ordinary contrast; the advice below is in stops of this picture.</details></li>`
    : html`<li>${message}</li>`;
}

function settingsOf(
  exposure: NonNullable<FrameResult["exposure"]>,
  setting: "aperture" | "shutter" | "iso",
  to: number,
): string {
  return settingsText({ ...exposure, [setting]: { value: to, from: "" } });
}

function figuresTable(row: FrameResult): Markup {
  const { fall, placement, tolerance, error, clipped, crushed, pixels, basis, picture } = row;
  const lines: [string, string | null][] = [
    ["Basis of all stops", basis],
    ["Placed", placement && `${placementText(placement)} (${placement.text})`],
    ["Tolerance", tolerance === null ? null : `± ${tolerance.toFixed(2)}`],
    ["Fell (mean of light)", fall && boundedStopsText(fall)],
    ["Median", fall && stopsText(fall.median)],
    ["5 % to 95 %", fall && `${stopsText(fall.p5)} to ${stopsText(fall.p95)}`],
    ["Error", error && errorText(error)],
    ["Clipped in the region", clipped && percentText(clipped.share)],
    ["Black in the region", crushed && percentText(crushed.share)],
    ["Pixels in the region", pixels === null ? null : String(pixels)],
    ["Colour", picture && `${picture.colour} (${picture.colourFrom})`],
    ["Middle grey", picture && `${percentText(picture.middleGrey)} of full scale`],
  ];
  return html`<table class="figures"><caption>Figures, stops from middle grey</caption><tbody>${lines.map(([name, value]) => value && html`<tr><th scope="row">${name}</th><td>${value}</td></tr>`)}</tbody></table>`;
}
