import { compensationWords, lightWords } from "../../judge/advice/lightWords.ts";
import { type Evidence, MOST_CAUSES_SHOWN } from "../../model/cause.ts";
import type { FrameResult } from "../../model/result.ts";
import { countText, errorText, percentText, settingsText } from "../../model/words.ts";
import { fold } from "./fold.ts";
import { frameData, frameDataElement } from "./frameData.ts";
import { type FrameFold, frameFold } from "./frameFold.ts";
import type { FrameView } from "./frameView.ts";
import { histogramPlots, tonesTable } from "./histogramPlots.ts";
import { html, type Markup } from "./markup.ts";
import type { FrameData } from "./pageData.ts";
import type { PageFrame } from "./pageFrame.ts";
import { boundedFigure, errorFigure, figure, rangeFigure, typeset } from "./pageWords.ts";
import { regionPicture } from "./regionPicture.ts";
import { ruler, rulerKey } from "./ruler.ts";
import { settingsTable } from "./settingsTable.ts";
import { spotPlace } from "./spotPlace.ts";
import { VERDICT_MARKS } from "./wording.ts";

/**
 * One frame: a row that opens to the picture with its region, one verdict, one ruler, one why and one thing to do. What
 * missed stands open. Histograms, figures and settings are drawn when they are opened.
 *
 * @param waits - whether its content is held aside until it comes near: for pages of many frames
 */
export function card(frame: PageFrame, view: FrameView | null, waits = false): Markup {
  const { row } = frame;
  const data = frameData(frame);
  const missed = row.verdict === "over" || row.verdict === "under";
  return frameFold({
    frame,
    aside: data.settings,
    ...rowVerdict(data),
    pictured: Boolean(view?.picture),
    open: !row.failure && missed && !data.byDesign,
    waits: waits && !row.failure,
    openClaims: null,
    content: row.failure
      ? html`<p class="failure">${row.failure.message}.</p>`
      : body(frame, data, view),
    data: frameDataElement(data),
  });
}

function rowVerdict({
  verdict,
  headline,
  error,
  fall,
}: FrameData): Pick<FrameFold, "verdict" | "figure"> {
  const figure = error
    ? errorFigure({ ...error, median: error.stops, decidedBy: "mean" })
    : fall && boundedFigure(fall);
  return {
    verdict: html`<span class="row-word ${verdict ?? "none"}">${markOf(verdict)}${headline}</span>`,
    figure,
  };
}

function markOf(verdict: FrameData["verdict"]): Markup | null {
  return (
    verdict && html`<span class="mark" aria-hidden="true">${VERDICT_MARKS[verdict] ?? ""}</span> `
  );
}

function body(frame: PageFrame, data: FrameData, view: FrameView | null): Markup {
  const { row, name, id } = frame;
  const regions = row.region === null ? [] : [{ name: null, region: row.region }];
  return html`<div class="frame-body${view?.picture ? "" : " no-picture"}">${view && regionPicture(name, view, regions)}<div class="findings"><p class="verdict ${data.verdict ?? "none"}">${markOf(data.verdict)}${data.headline}</p>
${data.caption && html`<p>${data.caption}</p>`}
${data.lane && html`<div class="frame-ruler">${ruler(rulerWords(data), [data.lane], data.end)}${rulerKey([data.lane])}</div>`}
${data.why && html`<div class="why"><h4>Why</h4><p>${data.why}</p></div>`}
${data.next && html`<div class="do"><h4>Do</h4><p>${data.next}</p>${data.cautions.map((caution) => html`<p class="caution small"><strong>Take care.</strong> ${caution}</p>`)}</div>`}
<p class="actions no-print">${data.feedback && html`<button type="button" class="copy-one" hidden>Copy feedback</button>`}${view && spotPlace(id, view, { row, name })}</p></div></div>
<div class="folds no-print">${view && fold("Histograms", html`<div class="histograms">${histogramPlots(row, view)}</div>`)}${fold("Figures", html`<div class="tables">${figuresTable(row)}${view && tonesTable(row, view)}</div>`)}${evidence(row)}${otherWays(row)}${row.exposure && fold("Settings", settingsTable(row.exposure))}${
    row.notes.length > 0 &&
    fold(
      countText(row.notes.length, "note"),
      html`<ul>${row.notes.map(({ message }) => html`<li>${typeset(message)}</li>`)}</ul>`,
    )
  }</div>`;
}

/** The ruler in words, for those who do not see it. */
function rulerWords({ placement, fall, error }: FrameData): string {
  const parts = [
    placement && `placed at ${rangeFigure(placement)}`,
    fall && `fell at ${boundedFigure(fall)}`,
    error && `error ${boundedFigure(error)}`,
  ].filter(Boolean);
  return `${parts.join(", ")} stops from middle grey`;
}

function evidence({ causes }: FrameResult): Markup | null {
  const items = causes
    .slice(0, MOST_CAUSES_SHOWN)
    .flatMap((cause) => cause.evidence.map(evidenceItem));
  return items.length > 0 ? fold("Evidence", html`<ul>${items}</ul>`) : null;
}

function evidenceItem({ message }: Evidence): Markup {
  return html`<li>${typeset(message)}</li>`;
}

/** The settings that give the light, in the camera's own steps, with what each costs. */
function otherWays({ next, exposure }: FrameResult): Markup | null {
  if (!next || next.stops === null || lightWords(next) === null) return null;
  const settings = next.ways.filter(({ to }) => to !== null);
  const ways = [
    ...(next.compensation === null
      ? []
      : [
          html`<li>compensation at ${typeset(compensationWords(next.compensation, next.step))}</li>`,
        ]),
    ...(exposure
      ? settings.map(
          ({ setting, to, costs }) =>
            html`<li>${settingsOf(exposure, setting, to as number)}${costs.length > 0 ? html` <span class="quiet">${costs.map(({ message }) => typeset(message)).join(" ")}</span>` : null}</li>`,
        )
      : []),
  ];
  return ways.length > 0 ? fold("Settings for it", html`<ul>${ways}</ul>`) : null;
}

function settingsOf(
  exposure: NonNullable<FrameResult["exposure"]>,
  setting: "aperture" | "shutter" | "iso",
  to: number,
): string {
  return typeset(settingsText({ ...exposure, [setting]: { value: to, from: "" } }));
}

function figuresTable(row: FrameResult): Markup {
  const { fall, placement, tolerance, error, clipped, crushed, pixels, basis, region, picture } =
    row;
  const lines: [string, string | null][] = [
    ["Basis of all stops", basis],
    ["Region", region],
    ["Placed", placement && `${rangeFigure(placement)} (${placement.text})`],
    ["Tolerance", tolerance === null ? null : `± ${tolerance.toFixed(2)}`],
    ["Fell (mean of light)", fall && boundedFigure(fall)],
    ["Median", fall && figure(fall.median)],
    ["5 % to 95 %", fall && `${figure(fall.p5)} to ${figure(fall.p95)}`],
    ["Error", error && typeset(errorText(error))],
    ["Clipped in the region", clipped && percentText(clipped.share)],
    ["Black in the region", crushed && percentText(crushed.share)],
    ["Pixels in the region", pixels === null ? null : String(pixels)],
    ["Colour", picture && `${picture.colour} (${picture.colourFrom})`],
    ["Middle grey", picture && `${percentText(picture.middleGrey)} of full scale`],
  ];
  return html`<table class="figures"><caption>Figures, stops from middle grey</caption><tbody>${lines.map(([name, value]) => value && html`<tr><th scope="row">${name}</th><td>${value}</td></tr>`)}</tbody></table>`;
}
