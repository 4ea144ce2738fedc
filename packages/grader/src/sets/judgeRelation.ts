import { type Finding, notRun } from "./finding.ts";
import { type SetFacts, toneOf } from "./frameFacts.ts";
import { judgePlaced } from "./judgeClaim.ts";
import {
  judgeControl,
  judgeGiven,
  judgeKeptSettings,
  judgeOtherExposure,
  judgeOtherSettings,
  judgeSameExposure,
} from "./judgeSettings.ts";
import {
  judgeAlike,
  judgeLighter,
  judgeMove,
  judgeOff,
  judgeOn,
  judgeOrder,
} from "./judgeTones.ts";
import { asksOf, type ReadyRelation } from "./readySet.ts";
import { type Member, worst } from "./relationMember.ts";

/** One thing that a relation says, and what became of it. */
export interface RelationPart {
  readonly part: string;
  readonly finding: Finding;
}

type RelationOf<Kind extends ReadyRelation["kind"]> = Extract<ReadyRelation, { kind: Kind }>;

/**
 * What becomes of a relation: each thing that it says of its frames by itself, so that a miss names what missed.
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
  switch (relation.kind) {
    case "bracket":
      return bracketParts(relation, members);
    case "equivalent":
      return [
        { part: "exposure", finding: judgeSameExposure(members) },
        { part: "settings", finding: judgeOtherSettings(members) },
        { part: "look", finding: judgeAlike(members, relation.tolerance) },
      ];
    case "recompose": {
      const { metered, used } = relation;
      return [
        { part: "settings", finding: judgeKeptSettings(members) },
        {
          part: "metered",
          finding: judgePlaced(metered, toneOf(facts, metered.ask)),
        },
        { part: "used", finding: judgePlaced(used, toneOf(facts, used.ask)) },
      ];
    }
    case "correction":
      return correctionParts(relation, members as [Member, Member]);
    case "same-rendering":
      return [
        { part: "look", finding: judgeAlike(members, relation.tolerance) },
        { part: "settings", finding: judgeOtherExposure(members) },
      ];
    case "tonal-pair":
      return [{ part: "look", finding: judgeAlike(members, relation.tolerance) }];
  }
}

function bracketParts(
  { offsets, varies, tolerance }: RelationOf<"bracket">,
  members: readonly Member[],
): RelationPart[] {
  const steps = members.slice(1).map((member, i) => ({
    from: members[0] as Member,
    to: member,
    by: offsets[i + 1] as number,
  }));
  const parts = [
    { part: "steps", finding: worst(steps.map(({ from, to, by }) => judgeGiven(from, to, by))) },
    { part: "control", finding: judgeControl(members, varies) },
    { part: "order", finding: judgeOrder(members, offsets) },
  ];
  // On the sensor a stop of exposure is a stop of light; a rendering's curve makes something else of it.
  if (members.some(({ row }) => row.basis !== "scene")) return parts;
  const light = worst(steps.map(({ from, to, by }) => judgeMove(from, to, by, tolerance)));
  return [...parts, { part: "light", finding: light }];
}

function correctionParts(
  { by, placement, tolerance }: RelationOf<"correction">,
  [from, to]: readonly [Member, Member],
): RelationPart[] {
  const parts = [
    { part: "settings", finding: judgeGiven(from, to, by) },
    { part: "direction", finding: by > 0 ? judgeLighter(from, to) : judgeLighter(to, from) },
  ];
  if (!placement) return parts;
  return [
    ...parts,
    { part: "from", finding: judgeOff(from, placement, tolerance) },
    { part: "to", finding: judgeOn(to, placement, tolerance) },
  ];
}
