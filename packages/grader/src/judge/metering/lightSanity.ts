import {
  exposureValue100,
  luminanceFromSettings,
  REFLECTED_METER_K,
  scenesAt,
} from "@tonefall/tone-core";
import type { LightSanity } from "../../model/metering.ts";
import type { Exposure } from "../../model/result.ts";
import { isComposite } from "../grade/settingsFall.ts";

/**
 * What light the settings suit, beside the published light of usual scenes: plausibility, never a verdict. A frame that
 * was meant to be dark, or missed, is set for other light than it was taken in.
 *
 * @returns null where a setting is missing
 */
export function lightSanity(exposure: Exposure): LightSanity | null {
  const { aperture, shutter, iso, flashFired } = exposure;
  if (aperture.value === null || shutter.value === null || iso.value === null) return null;
  const settings = {
    aperture: aperture.exact ?? aperture.value,
    shutterSeconds: shutter.exact ?? shutter.value,
    iso: iso.exact ?? iso.value,
  };
  const ev100 = exposureValue100(settings);
  const scenes = scenesAt(ev100);
  const settingsTellLight = flashFired.value !== true && !isComposite(exposure);
  return {
    ev100,
    luminanceAtMiddleGrey: luminanceFromSettings(settings),
    k: REFLECTED_METER_K,
    scenes,
    plausible: settingsTellLight ? scenes.length > 0 : null,
  };
}
