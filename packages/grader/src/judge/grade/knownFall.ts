import type { Fall, KnownFall } from "../../model/result.ts";
import type { Uncertainty } from "./fallUncertainty.ts";

/** A fall with how well it is known. */
export function knownFall(fall: Fall, { total, parts }: Uncertainty): KnownFall {
  return { ...fall, uncertainty: total, uncertaintyParts: parts };
}
