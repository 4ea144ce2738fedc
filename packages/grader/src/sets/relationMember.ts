import type { FrameResult } from "../model/result.ts";
import type { Finding } from "./finding.ts";
import type { ToneAsk } from "./readySet.ts";

/** A frame of a relation, measured. */
export interface Member {
  readonly ask: ToneAsk;
  readonly row: FrameResult;
}

/** Every two of a relation's frames. */
export function pairs(members: readonly Member[]): [Member, Member][] {
  return members.flatMap((a, i) => members.slice(i + 1).map((b): [Member, Member] => [a, b]));
}

/** Frames by name, as a sentence tells them. */
export function names(members: readonly Member[]): string {
  return members.map(({ ask }) => ask.frame).join(", ");
}

/** A tone by region and frame. */
export function toneName({ ask }: Member): string {
  return `${ask.regionName} of ${ask.frame}`;
}

const SEVERITY: readonly Finding["outcome"][] = ["kept", "undecided", "not run", "missed"];

/** The finding that decides about all of them: the first of the gravest. */
export function worst(findings: readonly Finding[]): Finding {
  const grave = ({ outcome }: Finding): number => SEVERITY.indexOf(outcome);
  return findings.reduce((worst, next) => (grave(next) > grave(worst) ? next : worst));
}
