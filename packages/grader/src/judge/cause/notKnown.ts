import type { Cause, Evidence, FactCode } from "../../model/cause.ts";
import { evidence } from "./evidence.ts";

/** The answer where the evidence supports no cause, with what is missing or does not fit. */
export function notKnown(why: FactCode | readonly Evidence[]): Cause {
  return {
    code: "not-known",
    strength: null,
    evidence: typeof why === "string" ? [evidence(why)] : why,
  };
}
