import { settingNumber, shutterText } from "../model/words.ts";
import type { MadeSettings } from "./exposure.ts";

/** Settings as a photographer writes them: `f/5.6 1/125 ISO 100`. */
export function madeSettingsText({ aperture, shutterSeconds, iso }: MadeSettings): string {
  return `f/${settingNumber(aperture)} ${shutterText(shutterSeconds)} ISO ${settingNumber(iso)}`;
}
