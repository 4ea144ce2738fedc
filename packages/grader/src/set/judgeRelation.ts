import { ERROR_BUDGET } from "@tonefall/tone-core";
import { stopsText } from "../report/words.ts";
import type { Exposure, FrameResult } from "../result.ts";
import { type Finding, finding, notRun } from "./finding.ts";
import { type SetFacts, toneOf } from "./frameFacts.ts";
import { judgePlaced } from "./judgeClaim.ts";
import { SAME_SETTING_STOPS } from "./judgeRecord.ts";
import {
  checkStops,
  judgeRise,
  judgeStops,
  type KnownStops,
  knownText,
  outcomeOf,
  rangeText,
  toneDifference,
} from "./judgeStops.ts";
import {
  asksOf,
  type OpenRange,
  type PlacedAsk,
  type ReadyRelation,
  type ToneAsk,
} from "./readySet.ts";
import type { Control } from "./setFile.ts";

/** One thing that a relation says, and what became of it. */
export interface RelationPart {
  readonly part: string;
  readonly finding: Finding;
}

type RelationOf<Kind extends ReadyRelation["kind"]> = Extract<ReadyRelation, { kind: Kind }>;

/** A frame of a relation, measured. */
interface Member {
  readonly ask: ToneAsk;
  readonly row: FrameResult;
}

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

/** Whether the second frame was given so much more exposure than the first, by the settings alone. */
function judgeGiven(from: Member, to: Member, by: number): Finding {
  const expected = `${stopsText(by)} of given exposure`;
  const flash = [from, to].find(({ row }) => row.exposure?.flashFired.value === true);
  if (flash) {
    const sentence = `Flash fired in ${flash.ask.frame}, so its settings do not say what light it was given.`;
    return finding("undecided", "flash-fired", expected, null, sentence);
  }
  const [before, after] = [from.row.givenExposure, to.row.givenExposure];
  if (before === null || after === null) return notRecorded(expected, before === null ? from : to);
  const known: KnownStops = {
    stops: after - before,
    bound: null,
    uncertainty: ERROR_BUDGET.raw.settingsPair,
  };
  // Settings are marks: a step of theirs is met or not, and the rest is what marking leaves open.
  const same = Math.abs(known.stops - by) < SAME_SETTING_STOPS;
  const range = { from: by, to: by };
  return {
    outcome: same ? "kept" : "missed",
    code: same ? "holds" : "steps-differ",
    expected,
    measured: knownText(known),
    stops: checkStops("settings", range, known, SAME_SETTING_STOPS),
    sentence: `From ${from.ask.frame} to ${to.ask.frame} the settings give ${stopsText(known.stops)} stops where ${stopsText(by)} are claimed.`,
  };
}

function judgeSameExposure(members: readonly Member[]): Finding {
  const [first, ...rest] = members as [Member, ...Member[]];
  return worst(rest.map((member) => judgeGiven(first, member, 0)));
}

function judgeControl(members: readonly Member[], varies: Control): Finding {
  const expected = `only the ${CONTROL_WORDS[varies]} varies`;
  const silent = members.find(({ row }) =>
    CONTROLS.some((control) => logSetting(row, control) === null),
  );
  if (silent) return notRecorded(expected, silent);
  const others = CONTROLS.filter(
    (control) => control !== varies && spread(members, control) >= SAME_SETTING_STOPS,
  );
  if (others.length > 0) {
    const names = others.map((control) => CONTROL_WORDS[control]).join(" and ");
    return finding(
      "missed",
      "other-control-varies",
      expected,
      `${names} varies`,
      `The ${names} varies too.`,
    );
  }
  return spread(members, varies) >= SAME_SETTING_STOPS
    ? finding("kept", "holds", expected, expected, `Only the ${CONTROL_WORDS[varies]} varies.`)
    : finding(
        "missed",
        "control-constant",
        expected,
        "nothing varies",
        `The ${CONTROL_WORDS[varies]} is the same in every frame.`,
      );
}

/** Whether each frame is lighter than the one below it, in the order that the offsets give. */
function judgeOrder(members: readonly Member[], offsets: readonly number[]): Finding {
  const sorted = [...members.keys()]
    .sort((a, b) => (offsets[a] as number) - (offsets[b] as number))
    .map((i) => members[i] as Member);
  return worst(sorted.slice(1).map((lighter, i) => judgeLighter(sorted[i] as Member, lighter)));
}

function judgeLighter(darker: Member, lighter: Member): Finding {
  const expected = `${lighter.ask.frame} lighter than ${darker.ask.frame}`;
  const known = toneDifference(lighter.row, darker.row);
  if (!known) return cannotCompare(expected, darker, lighter);
  const verdict = judgeRise(known);
  const outcome = outcomeOf(verdict, known.bound);
  const range = { from: 0, to: Number.POSITIVE_INFINITY };
  return {
    ...outcome,
    code: outcome.outcome === "missed" ? "order-differs" : outcome.code,
    expected,
    measured: knownText(known),
    stops: checkStops(lighter.row.basis ?? "rendered", range, known, 0),
    sentence: `${lighter.ask.frame} shows its ${lighter.ask.regionName} ${stopsText(known.stops)} stops from ${darker.ask.frame}, and is claimed to be lighter.`,
  };
}

/** Whether a tone moved by so much from one frame to another, in their own stops. */
function judgeMove(from: Member, to: Member, by: number, tolerance: number | null): Finding {
  return judgeDifference(to, from, { from: by, to: by }, tolerance, "light-differs");
}

/** Whether all tones are one; the two that lie furthest apart are compared first. */
function judgeAlike(members: readonly Member[], tolerance: number | null): Finding {
  const fallOf = ({ row }: Member): number => row.fall?.stops ?? 0;
  const apart = ([a, b]: readonly [Member, Member]): number => Math.abs(fallOf(a) - fallOf(b));
  const furthest = pairs(members).sort((a, b) => apart(b) - apart(a));
  return worst(
    furthest.map(([a, b]) => {
      const [darker, lighter] = fallOf(a) > fallOf(b) ? [b, a] : [a, b];
      return judgeDifference(lighter, darker, { from: 0, to: 0 }, tolerance, "tones-differ");
    }),
  );
}

function judgeDifference(
  a: Member,
  b: Member,
  range: OpenRange,
  tolerance: number | null,
  code: string,
): Finding {
  const expected = range.from === 0 ? "one tone" : `${rangeText(range)} apart`;
  const known = toneDifference(a.row, b.row);
  if (!known) return cannotCompare(expected, a, b);
  const allowed = tolerance ?? Math.max(a.row.tolerance ?? 0, b.row.tolerance ?? 0);
  const outcome = outcomeOf(judgeStops(known, range, allowed), known.bound);
  return {
    ...outcome,
    code: outcome.outcome === "missed" ? code : outcome.code,
    expected,
    measured: knownText(known),
    stops: checkStops(a.row.basis ?? "rendered", range, known, allowed),
    sentence: `${toneName(a)} lies ${stopsText(known.stops)} stops from ${toneName(b)}; ${range.from === 0 ? "one tone" : `${stopsText(range.from)} stops`} within ${stopsText(allowed)} is claimed.`,
  };
}

function judgeOtherSettings(members: readonly Member[]): Finding {
  const expected = "different settings";
  const silent = members.find(({ row }) =>
    CONTROLS.some((control) => logSetting(row, control) === null),
  );
  if (silent) return notRecorded(expected, silent);
  const twins = pairs(members).find((pair) =>
    CONTROLS.every((control) => spread(pair, control) < SAME_SETTING_STOPS),
  );
  return twins
    ? finding(
        "missed",
        "same-settings",
        expected,
        "the same",
        `${names(twins)} have the same settings.`,
      )
    : finding("kept", "holds", expected, expected, `${names(members)} have different settings.`);
}

function judgeOtherExposure(members: readonly Member[]): Finding {
  const expected = "different exposures";
  const silent = members.find(({ row }) => row.givenExposure === null);
  if (silent) return notRecorded(expected, silent);
  const given = ({ row }: Member): number => row.givenExposure as number;
  const twins = pairs(members).find(([a, b]) => Math.abs(given(a) - given(b)) < SAME_SETTING_STOPS);
  return twins
    ? finding(
        "missed",
        "same-settings",
        expected,
        "the same",
        `${names(twins)} were given the same exposure.`,
      )
    : finding(
        "kept",
        "holds",
        expected,
        expected,
        `${names(members)} were given different exposures.`,
      );
}

function judgeKeptSettings(members: readonly Member[]): Finding {
  const expected = "settings kept";
  const silent = members.find(({ row }) =>
    CONTROLS.some((control) => logSetting(row, control) === null),
  );
  if (silent) return notRecorded(expected, silent);
  const moved = CONTROLS.filter((control) => spread(members, control) >= SAME_SETTING_STOPS);
  const what = moved.map((control) => CONTROL_WORDS[control]).join(" and ");
  return moved.length > 0
    ? finding(
        "missed",
        "settings-moved",
        expected,
        `${what} moved`,
        `Between ${names(members)} the ${what} moved.`,
      )
    : finding("kept", "holds", expected, "kept", `${names(members)} have the same settings.`);
}

/** Whether a tone misses its placement, as the wrong half of a correction does. */
function judgeOff(
  member: Member,
  placement: PlacedAsk["placement"],
  tolerance: number | null,
): Finding {
  const placed = judgeOn(member, placement, tolerance);
  const expected = `off ${rangeText(placement)}`;
  if (placed.outcome === "undecided") return { ...placed, expected };
  const missed = placed.outcome === "missed";
  return {
    ...placed,
    outcome: missed ? "kept" : "missed",
    code: missed ? "holds" : "not-wrong",
    expected,
    sentence: `${toneName(member)} fell at ${placed.measured}, ${missed ? "off" : "on"} its placement of ${rangeText(placement)}; the first of a correction is claimed to be off.`,
  };
}

function judgeOn(
  { ask, row }: Member,
  placement: PlacedAsk["placement"],
  tolerance: number | null,
): Finding {
  return judgePlaced({ ask, tolerance, placement }, { row, failure: null });
}

const SEVERITY: readonly Finding["outcome"][] = ["kept", "undecided", "not run", "missed"];

/** The finding that decides about all of them: the first of the gravest. */
function worst(findings: readonly Finding[]): Finding {
  const grave = ({ outcome }: Finding): number => SEVERITY.indexOf(outcome);
  return findings.reduce((worst, next) => (grave(next) > grave(worst) ? next : worst));
}

const CONTROLS: readonly Control[] = ["aperture", "shutter", "iso"];

const CONTROL_WORDS: Readonly<Record<Control, string>> = {
  aperture: "aperture",
  shutter: "shutter time",
  iso: "ISO",
};

/** A setting in stops; null where it is not recorded. */
function logSetting({ exposure }: FrameResult, control: Control): number | null {
  const field = (exposure as Exposure | null)?.[control];
  const value = field ? (field.exact ?? field.value) : null;
  if (value === null) return null;
  return (control === "aperture" ? 2 : 1) * Math.log2(value);
}

/** How far a setting varies over frames that all record it, stops. */
function spread(members: readonly Member[], control: Control): number {
  const stops = members.map(({ row }) => logSetting(row, control) as number);
  return Math.max(...stops) - Math.min(...stops);
}

function pairs(members: readonly Member[]): [Member, Member][] {
  return members.flatMap((a, i) => members.slice(i + 1).map((b): [Member, Member] => [a, b]));
}

function notRecorded(expected: string, { ask }: Member): Finding {
  const sentence = `Frame ${ask.frame} does not record aperture, shutter time and ISO.`;
  return finding("undecided", "not-recorded", expected, null, sentence);
}

function cannotCompare(expected: string, a: Member, b: Member): Finding {
  const sentence = `${toneName(a)} and ${toneName(b)} cannot be compared: too much is clipped, black or merged.`;
  return finding("undecided", "censored", expected, null, sentence);
}

function names(members: readonly Member[]): string {
  return members.map(({ ask }) => ask.frame).join(", ");
}

function toneName({ ask }: Member): string {
  return `${ask.regionName} of ${ask.frame}`;
}
