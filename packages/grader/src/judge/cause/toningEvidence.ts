import type { Evidence, Strength } from "../../model/cause.ts";
import type { Exposure } from "../../model/result.ts";
import { evidence } from "./evidence.ts";

/**
 * What the record says of a toning that would explain a departure.
 *
 * A contrast setting moves tones away from middle grey or towards it, and leaves middle grey alone.
 *
 * @param departure - of the reading from where the exposure put it, stops
 * @param put - where the exposure put it, stops from middle grey
 */
export function toningEvidence(
  exposure: Exposure,
  departure: number,
  put: number,
): { readonly strength: Strength; readonly evidence: readonly Evidence[] } | null {
  const special = exposure.customRendered.value === "custom";
  const contrast = exposure.contrast.value;
  const stretched = Math.sign(departure) * Math.sign(put);
  const byContrast = stretched === (contrast === "hard" ? 1 : contrast === "soft" ? -1 : null);
  const found: Evidence[] = [
    ...(special ? [evidence("custom-rendering-recorded")] : []),
    ...(byContrast ? [evidence("contrast-recorded")] : []),
    ...(namesAProgram(exposure) ? [evidence("software-recorded")] : []),
  ];
  return found.length > 0 ? { strength: special ? "strong" : "fair", evidence: found } : null;
}

/** Whether the software named is more than the camera's firmware, which is a number or the camera's own name. */
function namesAProgram({ software, make, model }: Exposure): boolean {
  const own = new Set(words(`${make.value ?? ""} ${model.value ?? ""} firmware version ver`));
  return words(software.value ?? "").some((word) => !own.has(word));
}

/** Words of three letters and more, in lower case. */
function words(text: string): string[] {
  return text.toLowerCase().match(/\p{L}{3,}/gu) ?? [];
}
