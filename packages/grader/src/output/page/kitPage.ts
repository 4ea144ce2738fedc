import { basename } from "node:path";
import type { CameraKit } from "../../kit/kit.ts";
import { sharedFolder } from "../../model/sharedFolder.ts";
import { countText } from "../../model/words.ts";
import { kitName } from "../text/kitTable.ts";
import { kitFigures } from "./kitFigures.ts";
import { type Content, html, type Markup } from "./markup.ts";
import { pageAssets } from "./pageAssets.ts";
import { pageShell } from "./pageShell.ts";
import { figure, typeset } from "./pageWords.ts";

/** A frame as the page tells it. */
interface ToldFrame {
  readonly file: string;
  readonly included: boolean;
  readonly reason: string | null;
  readonly residual?: number | null;
}

/** What the page is made of: any measured kit. */
export interface KitPage {
  readonly kit: CameraKit | null;
  readonly refusal: { readonly message: string } | null;
  readonly frames: readonly ToldFrame[];
}

/** A measured kit as a page of its own: what it says, the curve with its points, and frame by frame what it rests on. */
export async function kitPage({ kit, refusal, frames }: KitPage): Promise<string> {
  const { style } = await pageAssets();
  const [before, after] = pageShell(
    // A kit's page needs no code.
    { code: "", style },
    {
      title: kit ? `Response of ${kitName(kit)}` : "A kit that could not be measured",
      lead: lead(kit, frames),
    },
  );
  const content = html`${refusal && html`<p class="panel failure"><strong>Refused.</strong> ${typeset(refusal.message)}</p>`}
${kit && kitFacts(kit)}
${kit && responseSection(kit)}
${frames.length > 0 ? frameTable(frames) : null}`;
  return `${before.text}${content.text}${after.text}\n`;
}

function lead(kit: CameraKit | null, frames: readonly ToldFrame[]): string {
  const used = frames.filter(({ included }) => included).length;
  const counted = `Measured from ${used} of ${countText(frames.length, "frame")}`;
  if (!kit) return frames.length > 0 ? `${frames.length} frames looked at.` : "";
  return `${counted}${kit.measured.on === null ? "" : `, the latest of ${kit.measured.on}`}.`;
}

/** What a kit says, apart from its curve. */
function kitFacts({ middleGrey, uncertainty, iso, software, style }: CameraKit): Markup | null {
  const { rendered = null, sensor = null } = middleGrey ?? {};
  const named = Object.entries(style).flatMap(([key, value]) => (value ? [`${key} ${value}`] : []));
  const facts: readonly (readonly [string, Content])[] = [
    [
      "Middle grey",
      rendered &&
        `code ${rendered.code.toFixed(1)}, ${figure(rendered.stops)} stop from 18 % of white, ± ${rendered.uncertainty.toFixed(2)}`,
    ],
    [
      "Middle grey of the sensor",
      sensor &&
        `${(100 * sensor.shareOfSaturation).toFixed(1)} % of saturation, ± ${sensor.uncertainty.toFixed(2)} stop`,
    ],
    [
      "Curve",
      uncertainty === null ? null : `± ${uncertainty.toFixed(2)} stop, one standard deviation`,
    ],
    [
      "Sensitivity",
      iso && (iso.from === iso.to ? `ISO ${iso.from}` : `ISO ${iso.from} to ${iso.to}`),
    ],
    ["Style", named.length > 0 && named.join(", ")],
    ["Software", software ?? null],
  ];
  const known = facts.filter(([, value]) => value);
  if (known.length === 0) return null;
  return html`<section class="panel" aria-labelledby="kit-title"><h2 id="kit-title">The kit</h2><dl class="kit-facts">${known.map(([name, value]) => html`<dt>${name}</dt><dd>${value}</dd>`)}</dl></section>`;
}

function responseSection(kit: CameraKit): Markup | null {
  const figures = kitFigures(kit, "h3");
  return figures.length === 0
    ? null
    : html`<section class="panel" aria-labelledby="response-title"><h2 id="response-title">Response</h2><div class="kit-figures">${figures}</div></section>`;
}

function frameTable(frames: readonly ToldFrame[]): Markup {
  const shared = sharedFolder(frames.map(({ file }) => file));
  const nameOf = (file: string): string =>
    shared === "" ? basename(file) : file.slice(shared.length);
  const measured = frames.some(({ residual }) => typeof residual === "number");
  return html`<section class="panel" aria-labelledby="frames-title"><h2 id="frames-title">Frames</h2><div class="scroll" role="region" aria-label="Frames, a table" tabindex="0"><table class="kit-frames" aria-labelledby="frames-title"><thead><tr><th scope="col">Frame</th>${measured && html`<th scope="col" class="number-cell">Residual, stops</th>`}<th scope="col">Outcome</th></tr></thead><tbody>${frames.map(
    ({ file, residual, reason }) =>
      html`<tr><th scope="row">${nameOf(file)}</th>${measured && html`<td class="number-cell">${residual?.toFixed(3) ?? "–"}</td>`}<td>${reason === null ? "used" : typeset(reason)}</td></tr>`,
  )}</tbody></table></div></section>`;
}
