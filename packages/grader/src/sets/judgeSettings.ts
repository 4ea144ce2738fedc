import { ERROR_BUDGET, log2 } from "@tonefall/tone-core";
import type { Exposure, FrameResult } from "../model/result.ts";
import { stopsText } from "../model/words.ts";
import { type Finding, finding } from "./finding.ts";
import { SAME_SETTING_STOPS } from "./judgeRecord.ts";
import { checkStops, type KnownStops, knownText } from "./judgeStops.ts";
import { type Member, names, pairs, worst } from "./relationMember.ts";
import type { Control } from "./setFile.ts";

/** Whether the second frame was given so much more exposure than the first, by the settings alone. */
export function judgeGiven(from: Member, to: Member, by: number): Finding {
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

/** Whether all frames were given one exposure, by the settings alone. */
export function judgeSameExposure(members: readonly Member[]): Finding {
  const [first, ...rest] = members as [Member, ...Member[]];
  return worst(rest.map((member) => judgeGiven(first, member, 0)));
}

/** Whether one control varies over the frames, and no other. */
export function judgeControl(members: readonly Member[], varies: Control): Finding {
  const expected = `only the ${CONTROL_WORDS[varies]} varies`;
  const silent = withoutSettings(members);
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

/** Whether no two frames have the same settings. */
export function judgeOtherSettings(members: readonly Member[]): Finding {
  const expected = "different settings";
  const silent = withoutSettings(members);
  if (silent) return notRecorded(expected, silent);
  const twins = pairs(members).find((pair) =>
    CONTROLS.every((control) => spread(pair, control) < SAME_SETTING_STOPS),
  );
  return judgeTwins(twins, members, expected, "have the same settings", "have different settings");
}

/** Whether no two frames were given the same exposure. */
export function judgeOtherExposure(members: readonly Member[]): Finding {
  const expected = "different exposures";
  const silent = members.find(({ row }) => row.givenExposure === null);
  if (silent) return notRecorded(expected, silent);
  const given = ({ row }: Member): number => row.givenExposure as number;
  const twins = pairs(members).find(([a, b]) => Math.abs(given(a) - given(b)) < SAME_SETTING_STOPS);
  return judgeTwins(
    twins,
    members,
    expected,
    "were given the same exposure",
    "were given different exposures",
  );
}

/** What becomes of a claim that no two frames are alike, given two that are. */
function judgeTwins(
  twins: readonly Member[] | undefined,
  members: readonly Member[],
  expected: string,
  alike: string,
  different: string,
): Finding {
  return twins
    ? finding("missed", "same-settings", expected, "the same", `${names(twins)} ${alike}.`)
    : finding("kept", "holds", expected, expected, `${names(members)} ${different}.`);
}

/** Whether all frames have the same settings. */
export function judgeKeptSettings(members: readonly Member[]): Finding {
  const expected = "settings kept";
  const silent = withoutSettings(members);
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
  return (control === "aperture" ? 2 : 1) * log2(value);
}

/** How far a setting varies over frames that all record it, stops. */
function spread(members: readonly Member[], control: Control): number {
  const stops = members.map(({ row }) => logSetting(row, control) as number);
  return Math.max(...stops) - Math.min(...stops);
}

/** A frame that does not record every control; undefined where all do. */
function withoutSettings(members: readonly Member[]): Member | undefined {
  return members.find(({ row }) => CONTROLS.some((control) => logSetting(row, control) === null));
}

function notRecorded(expected: string, { ask }: Member): Finding {
  const sentence = `Frame ${ask.frame} does not record aperture, shutter time and ISO.`;
  return finding("undecided", "not-recorded", expected, null, sentence);
}
