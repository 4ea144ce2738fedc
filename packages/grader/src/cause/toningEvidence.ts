import type { Exposure } from "../result.ts";
import type { Cause, Evidence } from "./cause.ts";
import { evidence } from "./evidence.ts";

/** What the record says of toning beyond the exposure. It is a cause only where settings and tones do disagree. */
export function toningEvidence(
  exposure: Exposure,
): { readonly strength: Cause["strength"]; readonly evidence: readonly Evidence[] } | null {
  const special = exposure.customRendered.value === "custom";
  const contrast = exposure.contrast.value;
  const found: Evidence[] = [
    ...(special ? [evidence("custom-rendering-recorded")] : []),
    ...(contrast === "soft" || contrast === "hard" ? [evidence("contrast-recorded")] : []),
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
