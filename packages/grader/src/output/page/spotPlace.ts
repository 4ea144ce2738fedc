import type { FrameResult } from "../../model/result.ts";
import type { FrameView } from "./frameView.ts";
import type { LightProxy } from "./lightCode.ts";
import { dataElement, html, type Markup } from "./markup.ts";

/** What the page's own code needs of a frame for its spot. */
export interface SpotFrame {
  /** As a brief's glob finds it: below the folder of the run, or of its set file. */
  readonly name: string;
  /** The frame's name in its set; null where there is no set. */
  readonly setId: string | null;
  readonly proxy: LightProxy;
  /** In text form; null where the row has none. */
  readonly region: string | null;
  readonly place: string | null;
  readonly fall: { readonly stops: number; readonly bound: "at least" | "at most" | null } | null;
  readonly basis: string | null;
  readonly fromSensor: boolean;
  readonly shutterSeconds: number | null;
}

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
  return html`<div class="spot" hidden><button type="button" class="spot-open">Move a spot over this picture</button></div>${dataElement(`${id}-data`, frame)}`;
}
