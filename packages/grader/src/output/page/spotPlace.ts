import type { FrameResult } from "../../model/result.ts";
import type { FrameView } from "./frameView.ts";
import { dataElement, html, type Markup } from "./markup.ts";
import type { SpotFrame } from "./spotFrame.ts";

/**
 * What lets the page read a spot anywhere on a card's picture; null without light to lay it on.
 *
 * @param id - of the card
 */
export function spotPlace(
  id: string,
  { proxy }: FrameView,
  { row, name, setId = null }: { row: FrameResult; name: string; setId?: string | null },
): Markup | null {
  if (!proxy) return null;
  const frame: SpotFrame = {
    name,
    setId,
    proxy,
    region: row.region,
    place: row.placement?.text || null,
    fall: row.fall && { stops: row.fall.stops, bound: row.fall.bound },
    basis: row.basis,
    fromSensor: row.sensor !== null,
    settings: row.exposure && {
      aperture: row.exposure.aperture,
      shutter: row.exposure.shutter,
      iso: row.exposure.iso,
      compensation: row.exposure.compensation,
    },
  };
  return html`<button type="button" class="spot-open" hidden>Read a spot</button>${dataElement(`${id}-light`, frame, "frame-light")}`;
}
