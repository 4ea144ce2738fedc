import { notRun } from "./finding.ts";
import { type SetFacts, toneOf } from "./frameFacts.ts";
import { asksOf } from "./readySet.ts";
import { RELATION_KINDS, type ReadyRelation, type RelationPart } from "./relationKinds.ts";
import type { Member } from "./relationMember.ts";

/**
 * Judges each thing that a relation says of its frames by itself, so that a row names exactly what does not hold.
 *
 * @param facts - of all frames of the relation
 */
export function judgeRelation(relation: ReadyRelation, facts: SetFacts): RelationPart[] {
  const members: Member[] = [];
  for (const ask of asksOf(relation)) {
    const { row, failure } = toneOf(facts, ask);
    if (failure) return [{ part: "frames", finding: notRun(relation.kind, ask.frame, failure) }];
    members.push({ ask, row });
  }
  return RELATION_KINDS[relation.kind].judge(relation as never, members);
}
