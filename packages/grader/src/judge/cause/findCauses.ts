import type { Cause } from "../../model/cause.ts";
import { wasMade } from "../../model/madeFrame.ts";
import { isComposite } from "../grade/settingsFall.ts";
import { autoCause } from "./autoCause.ts";
import { type CauseFacts, type CauseRow, causeFacts } from "./causeFacts.ts";
import { evidence } from "./evidence.ts";
import { EXACTLY_FOLLOWED_STOPS } from "./limits.ts";
import { manualCause } from "./manualCause.ts";
import { notKnown } from "./notKnown.ts";
import { lightBeyond } from "./renderedCurve.ts";

/**
 * Why a frame missed its placement, the best supported cause first.
 *
 * Only what evidence supports is named; "not known" is an answer, with what is missing as its evidence. Flash and merged
 * pictures come before everything the settings say, since settings do not describe such light. A frame that changed
 * with the one before it, as when the light changed between metering and picture, is only explained by that frame.
 *
 * @param row - a graded row with its split
 * @param preceding - rows of the same run before it, oldest first; only frames of the same camera, brief and minutes count
 * @returns at least one cause where the verdict is `over` or `under`; none otherwise, or of a frame made by `tonefall expose`
 *
 * @example
 * ```ts
 * findCauses(await gradeFrame("hull.jpg", { place: "tar", region: "spot" }))[0]?.code;
 * // => "followed-meter-on-dark"
 * ```
 */
export function findCauses(row: CauseRow, preceding: readonly CauseRow[] = []): readonly Cause[] {
  const facts = causeFacts(row);
  if (!facts || wasMade(row)) return [];
  const causes = recordedCauses(facts);
  if (causes.length > 0) return causes;
  if (facts.exposure.mode.value === "auto-bracket") return [bracketCause(facts)];
  return [exposureCause(facts, preceding)];
}

function exposureCause(facts: CauseFacts, preceding: readonly CauseRow[]): Cause {
  if (facts.mode === "manual") return manualCause(facts, preceding);
  if (facts.mode === "auto") return autoCause(facts, preceding);
  return notKnown(hasSettings(facts) ? "no-mode" : "no-metadata");
}

/**
 * The middle of a bracket may follow its meter as any frame; the other steps leave it on purpose. The step that placed the
 * light right is no cause of what the rendering made of it.
 */
function bracketCause(facts: CauseFacts): Cause {
  const cause = exposureCause(facts, []);
  if (isMiddleFrame(facts) || isByRendering(cause)) return cause;
  return {
    code: "bracket-step",
    strength: "strong",
    evidence: [evidence("auto-bracket"), ...cause.evidence],
  };
}

function isByRendering({ code, evidence: facts }: Cause): boolean {
  return code === "not-known" && facts.some((fact) => fact.code === "rendering-explains");
}

/** Whether a step recorded no compensation, and its reading lies where no step would put it. */
function isMiddleFrame({ compensation, meter, row }: CauseFacts): boolean {
  return (
    compensation === 0 &&
    meter !== null &&
    meter.bound === null &&
    Math.abs(lightBeyond(row, meter.stops, 0)) <= EXACTLY_FOLLOWED_STOPS
  );
}

/** Causes that a record alone shows, and beside which the settings say nothing about the tone. */
function recordedCauses({ exposure }: CauseFacts): Cause[] {
  const causes: Cause[] = [];
  if (exposure.flashFired.value === true) {
    causes.push({
      code: "flash-fired",
      strength: "strong",
      evidence: [evidence("flash-recorded")],
    });
  }
  if (isComposite(exposure)) {
    causes.push({
      code: "settings-and-tones-disagree",
      strength: "strong",
      evidence: [evidence("composite-recorded")],
    });
  }
  return causes;
}

function hasSettings({ exposure }: CauseFacts): boolean {
  const { aperture, shutter, iso } = exposure;
  return [aperture, shutter, iso].some(({ value }) => value !== null);
}
