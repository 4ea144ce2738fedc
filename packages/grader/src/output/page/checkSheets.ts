import type { CheckRow } from "../../model/checkResult.ts";
import type { FrameResult } from "../../model/result.ts";
import type { PlacedAsk, ToneAsk } from "../../sets/ask.ts";
import { type SetFacts, toneOf } from "../../sets/frameFacts.ts";
import { judgePlaced } from "../../sets/judgePlaced.ts";
import { asksOf } from "../../sets/readySet.ts";
import type { ReadyRelation } from "../../sets/relationKinds.ts";
import { claimsTable } from "./claimsTable.ts";
import { differenceOf, sideOf } from "./claimWords.ts";
import type { PageFrame } from "./pageFrame.ts";
import type { Sheet, SheetPart } from "./sheets.ts";

/**
 * A set's relation as frames side by side; null where one of them could not be measured.
 *
 * @param rows - what became of it, a row for each thing that it says
 * @param frameOf - the frame of a name, as the page tells it
 */
export function relationSheet(
  relation: ReadyRelation,
  id: string,
  rows: readonly CheckRow[],
  { facts, frameOf }: { facts: SetFacts; frameOf: (frame: string) => PageFrame | undefined },
): Sheet | null {
  const asks = asksOf(relation);
  const parts = asks.flatMap((ask): SheetPart[] => {
    const { row } = toneOf(facts, ask);
    const frame = frameOf(ask.frame);
    if (!row || !frame) return [];
    const twice = asks.some((other) => other !== ask && other.frame === ask.frame);
    return [
      {
        frame: { ...frame, row: placed(row, placementOf(relation, ask), ask) },
        label: `Frame ${frame.number}${twice ? `, ${ask.regionName}` : ""}`,
      },
    ];
  });
  if (parts.length < asks.length) return null;
  return {
    kind: relation.kind,
    id,
    parts,
    findings: claimsTable("What is claimed", rows, relation.id),
  };
}

/** Where a relation places a tone; null where it does not. */
function placementOf(
  relation: ReadyRelation,
  ask: ToneAsk,
): Pick<PlacedAsk, "placement" | "tolerance"> | null {
  if (relation.kind === "recompose")
    return ask === relation.metered.ask ? relation.metered : relation.used;
  if (relation.kind !== "correction" || !relation.placement) return null;
  return { placement: relation.placement, tolerance: relation.tolerance };
}

/** A measured row with a placement, and how it misses that: measuring knew none. */
export function placed(
  row: FrameResult,
  asked: Pick<PlacedAsk, "placement" | "tolerance"> | null,
  ask: ToneAsk,
): FrameResult {
  const bare = { ...row, placement: null, error: null, verdict: null, causes: [], next: null };
  if (!asked) return bare;
  const found = judgePlaced({ ask, ...asked }, { row, failure: null });
  if (!found.stops) return bare;
  const { bound, uncertainty, tolerance } = found.stops;
  return {
    ...bare,
    placement: asked.placement,
    tolerance,
    verdict: sideOf(found as CheckRow),
    error: {
      stops: differenceOf(found.stops),
      median: differenceOf({ ...found.stops, measured: row.fall?.median ?? Number.NaN }),
      uncertainty,
      uncertaintyParts: {},
      bound,
      decidedBy: "mean",
    },
  };
}
