import { exp2, MIDDLE_GREY, responseCurve, type ToneChannel } from "@tonefall/tone-core";
import type { KnownCurve } from "../judge/grade/knownKit.ts";
import { type Frame, fullScaleOf } from "../picture/frame.ts";
import { type CameraKit, kitPoints } from "./kit.ts";

/** A rendered frame whose codes a kit has turned back into light. */
interface FrameInLight {
  /** The frame with tables of light in the scene: middle grey where the kit puts it. */
  readonly frame: Frame;
  /** The measured curve that gave the light; null where middle grey alone was moved. */
  readonly curve: KnownCurve | null;
}

/**
 * A rendered frame as its kit says the light was.
 *
 * Only the tables of the channels change, so that everything after a decoder measures light as it does on a sensor: the
 * mean over a region is a mean of light, and the lightest code stands for 1. With a curve, every channel goes through its
 * own, or all through that of luminance; the curves agree on a neutral tone at the middle. Without one, the tables are
 * scaled so that the kit's middle grey is ours.
 */
export function frameInLight(frame: Frame, kit: CameraKit): FrameInLight {
  const rendered = kit.middleGrey?.rendered ?? null;
  if (!kit.curve) {
    const factor = exp2(-(rendered?.stops ?? 0));
    const channels = frame.channels.map((channel) => ({
      ...channel,
      luminance: channel.luminance.map((luminance) => luminance * factor),
    }));
    return { frame: { ...frame, channels }, curve: null };
  }
  const { luminance: grey, ...colours } = kit.curve;
  const points = kitPoints(grey);
  const ofLuminance = responseCurve(points);
  // A card is grey: the code of its luminance is nearly the code of each of its channels.
  const middle = rendered ? ofLuminance.stopsAt(rendered.code) : 0;
  const lit = frame.channels.map((channel): ToneChannel => {
    const own = colours[channel.name as keyof typeof colours];
    const { stopsAt } = own ? responseCurve(kitPoints(own)) : ofLuminance;
    const zero = rendered && own ? stopsAt(rendered.code) : middle;
    const { luminance } = channel;
    const full = fullScaleOf(frame, channel);
    const share = luminance[full] as number;
    return {
      ...channel,
      luminance: luminance.map((_, code) =>
        code === 0
          ? 0
          : share * MIDDLE_GREY * exp2(stopsAt((255 * Math.min(code, full)) / full) - zero),
      ),
    };
  });
  const white = lit.reduce(
    (sum, channel) => sum + (channel.luminance[fullScaleOf(frame, channel)] as number),
    0,
  );
  const channels = lit.map((channel) => ({
    ...channel,
    luminance: channel.luminance.map((light) => light / white),
  }));
  return {
    frame: { ...frame, channels, middleGrey: MIDDLE_GREY / white },
    curve: { points, middle },
  };
}
