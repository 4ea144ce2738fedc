import type { FrameResult } from "../model/result.ts";
import type { ToneAsk } from "./ask.ts";
import type { Finding } from "./finding.ts";

/** A measured frame of a relation. */
export interface Member {
  readonly ask: ToneAsk;
  readonly row: FrameResult;
}

/** Every pair of a relation's frames. */
export function pairs(members: readonly Member[]): [Member, Member][] {
  return members.flatMap((a, i) => members.slice(i + 1).map((b): [Member, Member] => [a, b]));
}

/** The frames' names, as a sentence lists them. */
export function names(members: readonly Member[]): string {
  return members.map(({ ask }) => ask.frame).join(", ");
}

const SEVERITY: readonly Finding["outcome"][] = ["kept", "undecided", "not run", "missed"];

/** The finding that decides for all of them: the first of the most severe. */
export function worst(findings: readonly Finding[]): Finding {
  const severity = ({ outcome }: Finding): number => SEVERITY.indexOf(outcome);
  return findings.reduce((worst, next) => (severity(next) > severity(worst) ? next : worst));
}
