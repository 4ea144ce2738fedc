import { type Spans, type ToneTally, tallyTone } from "@tonefall/tone-core";
import type { Frame } from "../../picture/frame.ts";

/**
 * Counts the tones of a frame's pixels, leaving out those that are more than half transparent.
 *
 * @param options.lattice - as `tallyTone` has it
 */
export function tallyFrame(
  frame: Frame,
  spans: Spans,
  { lattice = false }: { readonly lattice?: boolean } = {},
): ToneTally {
  return tallyTone(frame, spans, {
    alphaIndex: frame.alphaIndex,
    alphaMax: frame.samples instanceof Uint8Array ? 255 : 65535,
    lattice,
  });
}
