import { sentenceCase } from "../../model/words.ts";
import type { FrameView } from "./frameView.ts";
import { html, type Markup } from "./markup.ts";
import { type NamedRegion, regionOverlay } from "./regionOverlay.ts";
import { regionWords } from "./regionWords.ts";

/**
 * The picture on neutral grey with its regions drawn, and words for them below; null where no picture is shown.
 *
 * @param captioned - whether the words are shown; whoever gets a sheet needs the outline alone
 */
export function regionPicture(
  name: string,
  { picture }: Pick<FrameView, "picture">,
  regions: readonly NamedRegion[],
  captioned = true,
): Markup | null {
  if (!picture) return null;
  const { width, height, source, drawnFromLight } = picture;
  const texts = regions.map(({ name, region }) =>
    name === null ? sentenceCase(regionWords(region)) : `${name}: ${regionWords(region)}`,
  );
  const said = regions.length > 1 ? "regions" : "region";
  return html`<figure class="picture"><div class="surround"><div class="shown"><img src="${source}" width="${width}" height="${height}" alt="${name}, with its ${said} marked">${regionOverlay(regions, { width, height })}</div></div>
${captioned && html`<figcaption>${texts.length > 0 ? texts.join("; ") : "The whole picture"}${drawnFromLight ? ". Drawn from the sensor's values, with no tone curve." : ""}</figcaption>`}</figure>`;
}
