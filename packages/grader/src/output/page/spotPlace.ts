import type { FrameResult } from "../../model/result.ts";
import type { FrameView } from "./frameView.ts";
import { dataElement, html, type Markup } from "./markup.ts";
import type { SpotFrame } from "./spotFrame.ts";

/**
 * Where the movable spot of a card will be; null without light to lay it on.
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
    shutterSeconds: row.exposure?.shutter.value ?? null,
  };
  return html`<div class="spot" hidden><button type="button" class="spot-open">Move a spot over this picture</button></div>${dataElement(`${id}-light`, frame)}`;
}
