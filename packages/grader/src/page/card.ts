import { roundToThirds, speakStops } from "@tonefall/tone-core";
import { CAUSES_TOLD } from "../cause/cause.ts";
import { feedbackFor } from "../feedback/feedbackFor.ts";
import {
  boundedStopsText,
  errorText,
  outcomeText,
  percentText,
  placementText,
  settingsText,
  stopsText,
} from "../report/words.ts";
import type { ExposureField, FrameResult } from "../result.ts";
import { histogramPlots, tonesTable } from "./histogramPlots.ts";
import { dataElement, html, type Markup } from "./markup.ts";
import type { PageFrame } from "./pageFrame.ts";
import { regionOverlay } from "./regionOverlay.ts";
import { stopScalePlot } from "./stopScalePlot.ts";
import { CAUSE_WORDS, keyWords, sizeBound, VERDICT_MARKS } from "./wording.ts";

/** One frame in full: the picture and its region, the stop scale, histograms, words and settings. */
export function card(frame: PageFrame): Markup {
  const { row, view, name, id, number } = frame;
  return html`<article class="card" id="${id}" data-frame="${number}" tabindex="-1">
<header><h3><span class="number">${number}</span> ${name}</h3>${verdictLine(row)}</header>
${
  row.failure
    ? html`<p class="failure">Not graded: ${row.failure.message}.</p>`
    : html`<div class="card-body">${pictureFigure(frame)}<div class="findings">
${row.fall || row.placement ? stopScalePlot("Where the tone was placed, and where it fell", [{ name, row }]) : null}
${words(row)}</div></div>
${view ? html`<div class="histograms">${histogramPlots(row, view)}</div>` : null}
<div class="more">
<details><summary>Figures</summary><div class="tables">${figuresTable(row)}${view && tonesTable(row, view)}</div></details>
<details><summary>Settings, and where each came from</summary>${settingsTable(row)}</details>
</div>
${
  view?.proxy
    ? html`<div class="spot" hidden><button type="button" class="spot-open">Move a spot over this picture</button></div>${dataElement(`${id}-data`, spotData(frame))}`
    : null
}`
}
</article>`;
}

/** What the page's own code needs of a frame. */
function spotData({ row, view, name }: PageFrame): unknown {
  return {
    name,
    proxy: view?.proxy,
    region: row.region,
    place: row.placement?.text ?? null,
    fall: row.fall && { stops: row.fall.stops, bound: row.fall.bound },
    basis: row.basis,
    fromSensor: row.sensor !== null,
    shutterSeconds: row.exposure?.shutter.value ?? null,
  };
}

function verdictLine(row: FrameResult): Markup {
  const { verdict, error } = row;
  const mark = verdict ? VERDICT_MARKS[verdict] : "";
  const word = outcomeText(row).replace(/^[▲▼] /, "");
  return html`<p class="verdict ${verdict ?? "none"}"><span class="mark" aria-hidden="true">${mark ?? ""}</span> <strong>${word}</strong>${error ? html` <span class="error">${errorText(error)} stops</span>` : null}</p>`;
}

function pictureFigure({ row, view, name }: PageFrame): Markup | null {
  const picture = view?.picture;
  if (!picture) return null;
  const { width, height, source, drawnFromLight } = picture;
  const region = row.region ?? "whole";
  return html`<figure class="picture"><div class="surround"><div class="shown ${width < height ? "tall" : "wide"}"><img src="${source}" width="${width}" height="${height}" alt="${name}, with the region marked">${row.region ? regionOverlay(region, { width, height }) : null}</div></div>
<figcaption>Region: <code>${region}</code>${drawnFromLight ? ". Drawn from the sensor's values, with no tone curve." : ""}</figcaption></figure>`;
}

function words(row: FrameResult): Markup {
  const feedback = row.feedback ?? feedbackFor(row, row.causes, "student");
  const told = row.causes.slice(0, CAUSES_TOLD);
  return html`<div class="words">
${row.error && row.verdict !== "within" ? html`<p class="spoken">${spoken(row)}</p>` : null}
${feedback ? html`<p class="feedback">${feedback.text}</p>${feedback.cautions.map((caution) => html`<p class="caution"><strong>Take care.</strong> ${caution}</p>`)}` : null}
${
  told.length > 0
    ? html`<h4>Why</h4><ul class="causes">${told.map(({ code, strength, evidence }) => html`<li><strong>${CAUSE_WORDS[code]}</strong> (${strength === "strong" ? "well supported" : "fairly supported"})<ul>${evidence.map(({ message, stops }) => html`<li>${message}${stops === null ? null : html` <span class="figure">${stopsText(stops)}</span>`}</li>`)}</ul></li>`)}</ul>`
    : null
}
${nextSettings(row)}
${row.notes.length > 0 ? html`<details class="notes"><summary>${row.notes.length === 1 ? "1 note" : `${row.notes.length} notes`}</summary><ul>${row.notes.map(({ message }) => html`<li>${message}</li>`)}</ul></details>` : null}
</div>`;
}

function spoken({ error, verdict }: FrameResult): string {
  if (!error) return "";
  const size = Math.abs(roundToThirds(error.stops));
  const least = sizeBound(error.stops, error.bound);
  if (verdict === "undecided" || size === 0) {
    return "The miss is too near the tolerance, or too uncertain, to tell.";
  }
  const text = `${least}${speakStops(size)} ${error.stops > 0 ? "lighter" : "darker"} than placed.`;
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function nextSettings({ next, exposure }: FrameResult): Markup | null {
  if (!next) return null;
  const direction = next.stops > 0 ? "more" : "less";
  const bound = sizeBound(next.stops, next.bound);
  const ways = next.ways.filter(({ to }) => to !== null);
  return html`<h4>Next time</h4><p>Give ${bound}${speakStops(Math.abs(next.stops))} ${direction} light${next.compensation === null ? "" : `: compensation ${speakStops(next.compensation, { sign: true })}`}.${
    exposure && ways.length > 0 ? " By hand, any one of:" : ""
  }</p>${
    exposure && ways.length > 0
      ? html`<ul class="ways">${ways.map(({ setting, to, costs }) => html`<li>${settingsOf(exposure, setting, to as number)}${costs.length > 0 ? html` <span class="cost">${costs.map(({ message }) => message).join(" ")}</span>` : null}</li>`)}</ul>`
      : null
  }`;
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

/** Told elsewhere, or of no use to a person. */
const LEFT_OUT: ReadonlySet<string> = new Set(["keywords", "regions", "pixelWidth", "pixelHeight"]);

function settingsTable({ exposure }: FrameResult): Markup | null {
  if (!exposure) return null;
  const fields = Object.entries(exposure as unknown as Record<string, ExposureField<unknown>>);
  const shown = fields.filter(([key]) => !LEFT_OUT.has(key));
  const recorded = shown.filter(([, { value }]) => value !== null);
  const missing = shown.filter(([, { value }]) => value === null);
  return html`<table class="figures"><caption>Settings as recorded: ${settingsText(exposure)}</caption>
<thead><tr><th scope="col">Setting</th><th scope="col">Recorded</th><th scope="col">Stands for</th><th scope="col">From</th></tr></thead>
<tbody>${recorded.map(([key, field]) => html`<tr><th scope="row">${keyWords(key)}</th><td>${valueText(field.value)}</td><td>${field.exact === undefined ? "" : valueText(field.exact)}</td><td>${"from" in field ? String(field.from) : ""}</td></tr>`)}</tbody></table>
${missing.length > 0 ? html`<p class="missing">Not recorded: ${missing.map(([key]) => keyWords(key)).join(", ")}.</p>` : null}`;
}

function valueText(value: unknown): string {
  if (typeof value === "number") return String(Number(value.toPrecision(5)));
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value !== "object" || value === null) return String(value);
  return Object.entries(value)
    .map(([key, part]) => `${keyWords(key)} ${valueText(part)}`)
    .join(", ");
}
