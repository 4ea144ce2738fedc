import { swapsSides } from "@tonefall/tone-core";
import type { FrameResult } from "../../model/result.ts";
import type { Frame } from "../../picture/frame.ts";

/** What a row says of its picture: the upright size in pixels, depth, colour, and where its scale ends. */
export function pictureOf(frame: Frame): NonNullable<FrameResult["picture"]> {
  const turned = swapsSides(frame.orientation);
  const { width, height } = frame.sampledFrom ?? frame;
  return {
    width: turned ? height : width,
    height: turned ? width : height,
    bits: frame.bits,
    colour: frame.colour.description,
    colourFrom: frame.colour.from,
    middleGrey: frame.middleGrey,
    ...(frame.scaleEnd ? { scaleEnd: { ...frame.scaleEnd, luminance: endLuminance(frame) } } : {}),
  };
}

/** Luminance of a pixel at the end of the file's scale in every channel. */
function endLuminance({ channels }: Frame): number {
  return channels.reduce(
    (sum, { luminance, clipCode }) => sum + (luminance[clipCode] as number),
    0,
  );
}
