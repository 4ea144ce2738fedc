import type { TextPosition } from "../brief/yaml/yamlDocument.ts";
import type { CheckedSet, CheckRow, RowKind } from "../model/checkResult.ts";
import { sameName } from "../model/sameName.ts";
import { type Finding, finding, notRun } from "./finding.ts";
import { type FrameFacts, type SetFacts, toneOf } from "./frameFacts.ts";
import { judgeClaim } from "./judgeClaim.ts";
import { judgeKit } from "./judgeKit.ts";
import { judgePin } from "./judgePin.ts";
import { asksOf, type ReadyFrame, type ReadySet } from "./readySet.ts";
import { RELATION_KINDS, type ReadyRelation, type RelationPart } from "./relationKinds.ts";
import type { Member } from "./relationMember.ts";
import type { Unit } from "./units.ts";

/**
 * Judges the units of a set by what was measured of their frames.
 *
 * @param extras - pictures in the set's folder that no set names, as paths from there
 */
export function judgeSet(
  set: ReadySet,
  units: readonly Unit[],
  facts: SetFacts,
  extras: readonly string[],
): CheckedSet {
  const rows = units.flatMap((unit) =>
    judgeUnit(unit, { set, facts, extras }).map(
      ({ id, kind, frames, at, found }): CheckRow => ({
        id,
        kind,
        frames,
        ...found,
        line: at.line,
        column: at.column,
        fails: fails(found, set),
        unit: unit.unit,
      }),
    ),
  );
  return { file: set.path, name: set.name, sha256: set.sha256, allow: set.allow, rows };
}

/** A finding with what it is about and where it stands in the set file. */
interface PlacedFinding {
  readonly id: string;
  readonly kind: RowKind;
  readonly frames: readonly string[];
  readonly at: TextPosition;
  readonly found: Finding;
}

function judgeUnit(
  unit: Unit,
  { set, facts, extras }: { set: ReadySet; facts: SetFacts; extras: readonly string[] },
): PlacedFinding[] {
  switch (unit.kind) {
    case "frame":
      return judgeFrame(unit.frame, set, facts);
    case "relation": {
      const { id, kind, at } = unit.relation;
      const frames = [...new Set(asksOf(unit.relation).map(({ frame }) => frame))];
      return judgeRelation(unit.relation, facts).map(({ part, finding: found }) => ({
        id: `${id}/${part}`,
        kind,
        frames,
        at,
        found,
      }));
    }
    case "extras":
      return extras.map((file) => ({
        id: `extra/${file}`,
        kind: "file",
        frames: [],
        at: { line: 1, column: 1 },
        found: extraFile(file),
      }));
  }
}

/** All that is judged of one frame: its file, its pin, its kit, then its own claims. */
function judgeFrame(frame: ReadyFrame, set: ReadySet, facts: SetFacts): PlacedFinding[] {
  const known = facts.get(frame.id) as FrameFacts;
  const about = { frames: [frame.id], at: frame.at };
  const kit = judgeKit(frame, known);
  return [
    ...judgeFile(frame, known, set).map(
      (found): PlacedFinding => ({
        ...about,
        id: `${frame.id}/${found.code}`,
        kind: "file",
        found,
      }),
    ),
    // The first finding says whether the bytes are the pinned ones; the others say what changed with them.
    ...judgePin(frame, known, set).map((found, i): PlacedFinding => {
      const id = i === 0 ? `${frame.id}/pin` : `${frame.id}/pin-${i}-${found.code}`;
      return { ...about, id, kind: "pin", found };
    }),
    ...(kit ? [{ ...about, id: `${frame.id}/kit`, kind: "kit", found: kit } as const] : []),
    ...frame.claims.map((claim): PlacedFinding => {
      const { id, kind, at } = claim;
      return { ...about, id, kind, at, found: judgeClaim(claim, frame, facts) };
    }),
  ];
}

function fails({ outcome, code }: Finding, { allow }: ReadySet): boolean {
  if (outcome === "kept") return false;
  if (outcome === "undecided") return !allow.includes("undecided");
  return !(code === "extra-file" && allow.includes("extra-file"));
}

function judgeFile(
  frame: ReadyFrame,
  { failure, caseClash }: FrameFacts,
  set: ReadySet,
): Finding[] {
  const found: Finding[] = [];
  if (failure) found.push(notRun(`a picture at ${frame.file}`, frame.id, failure));
  const twin = set.frames.find(
    ({ id, file }) => id !== frame.id && file !== frame.file && sameName(file, frame.file),
  );
  const clash = caseClash ?? twin?.file ?? null;
  if (clash !== null) {
    found.push(
      finding({
        outcome: "missed",
        code: "case-clash",
        expected: frame.file,
        measured: clash,
        sentence: `${frame.file} and ${clash} differ only by the case of letters, and some file systems cannot keep both; rename one.`,
      }),
    );
  }
  return found;
}

function extraFile(file: string): Finding {
  return finding({
    outcome: "missed",
    code: "extra-file",
    expected: "no picture that the set does not name",
    measured: file,
    sentence: `${file} is in the set's folder, but no frame of the set names it.`,
  });
}

/**
 * Judges each thing that a relation says of its frames by itself, so that a row names exactly what does not hold.
 *
 * @param facts - of all frames of the relation
 */
function judgeRelation(relation: ReadyRelation, facts: SetFacts): RelationPart[] {
  const members: Member[] = [];
  for (const ask of asksOf(relation)) {
    const { row, failure } = toneOf(facts, ask);
    if (failure) return [{ part: "frames", finding: notRun(relation.kind, ask.frame, failure) }];
    members.push({ ask, row });
  }
  return RELATION_KINDS[relation.kind].judge(relation as never, members);
}
