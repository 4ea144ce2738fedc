import { ERROR_BUDGET } from "@tonefall/tone-core";
import { stopsText } from "../model/words.ts";
import { cannotTell, type Finding, finding } from "./finding.ts";
import { checkStops, type KnownStops, knownText } from "./judgeStops.ts";
import { type Member, names, pairs, worst } from "./relationMember.ts";
import {
  CONTROLS,
  type Control,
  SAME_SETTING_STOPS,
  settingSpread,
  settingStops,
} from "./settingStops.ts";

/**
 * Whether the settings gave the second frame the claimed exposure beyond the first's.
 *
 * @param by - what is claimed, stops
 */
export function judgeGiven(from: Member, to: Member, by: number): Finding {
  const expected = `${stopsText(by)} of given exposure`;
  const flash = [from, to].find(({ row }) => row.exposure?.flashFired.value === true);
  if (flash) {
    const sentence = `The flash fired in ${flash.ask.frame}, so its settings do not say how much light it was given.`;
    return cannotTell({ code: "flash-fired", expected, sentence });
  }
  const [before, after] = [from.row.givenExposure, to.row.givenExposure];
  if (before === null || after === null) return notRecorded(expected, before === null ? from : to);
  const known: KnownStops = {
    stops: after - before,
    bound: null,
    uncertainty: ERROR_BUDGET.raw.settingsPair,
  };
  // Settings come in marked steps: a step is met or it is not, and what is left is rounding.
  const same = Math.abs(known.stops - by) < SAME_SETTING_STOPS;
  const range = { from: by, to: by };
  return {
    outcome: same ? "kept" : "missed",
    code: same ? "holds" : "steps-differ",
    expected,
    measured: knownText(known),
    stops: checkStops("settings", range, known, SAME_SETTING_STOPS),
    sentence: `From ${from.ask.frame} to ${to.ask.frame} the settings change the exposure by ${stopsText(known.stops)} stops; the claim is ${stopsText(by)}.`,
  };
}

/** Whether the settings gave all frames the same exposure. */
export function judgeSameExposure(members: readonly Member[]): Finding {
  const [first, ...rest] = members as [Member, ...Member[]];
  return worst(rest.map((member) => judgeGiven(first, member, 0)));
}

/** Whether only one control varies over the frames. */
export function judgeControl(members: readonly Member[], varies: Control): Finding {
  const expected = `only the ${CONTROL_WORDS[varies]} varies`;
  const silent = withoutSettings(members);
  if (silent) return notRecorded(expected, silent);
  const others = CONTROLS.filter(
    (control) => control !== varies && spread(members, control) >= SAME_SETTING_STOPS,
  );
  const miss = (code: string, measured: string, sentence: string): Finding =>
    finding({ outcome: "missed", code, expected, measured, sentence });
  const name = CONTROL_WORDS[varies];
  if (others.length > 0) {
    const also = controlNames(others);
    return miss("other-control-varies", `${also} varies`, `The ${also} varies too.`);
  }
  return spread(members, varies) >= SAME_SETTING_STOPS
    ? holds(expected, expected, `Only the ${name} varies.`)
    : miss("control-constant", "nothing varies", `The ${name} is the same in every frame.`);
}

/** Whether no two frames have the same settings. */
export function judgeOtherSettings(members: readonly Member[]): Finding {
  const expected = "different settings";
  const silent = withoutSettings(members);
  if (silent) return notRecorded(expected, silent);
  const twins = pairs(members).find((pair) =>
    CONTROLS.every((control) => spread(pair, control) < SAME_SETTING_STOPS),
  );
  return twins
    ? sameSettings(expected, `${names(twins)} have the same settings.`)
    : holds(expected, expected, `${names(members)} have different settings.`);
}

/** Whether no two frames were given the same exposure. */
export function judgeOtherExposure(members: readonly Member[]): Finding {
  const expected = "different exposures";
  const silent = members.find(({ row }) => row.givenExposure === null);
  if (silent) return notRecorded(expected, silent);
  const given = ({ row }: Member): number => row.givenExposure as number;
  const twins = pairs(members).find(([a, b]) => Math.abs(given(a) - given(b)) < SAME_SETTING_STOPS);
  return twins
    ? sameSettings(expected, `${names(twins)} were given the same exposure.`)
    : holds(expected, expected, `${names(members)} were given different exposures.`);
}

/** Whether all frames have the same settings. */
export function judgeKeptSettings(members: readonly Member[]): Finding {
  const expected = "settings kept";
  const silent = withoutSettings(members);
  if (silent) return notRecorded(expected, silent);
  const moved = CONTROLS.filter((control) => spread(members, control) >= SAME_SETTING_STOPS);
  if (moved.length === 0) {
    return holds(expected, "kept", `${names(members)} have the same settings.`);
  }
  const what = controlNames(moved);
  return finding({
    outcome: "missed",
    code: "settings-moved",
    expected,
    measured: `${what} moved`,
    sentence: `The ${what} changed between ${names(members)}.`,
  });
}

const CONTROL_WORDS: Readonly<Record<Control, string>> = {
  aperture: "aperture",
  shutter: "shutter time",
  iso: "ISO",
};

function controlNames(controls: readonly Control[]): string {
  return controls.map((control) => CONTROL_WORDS[control]).join(" and ");
}

function spread(members: readonly Member[], control: Control): number {
  return settingSpread(
    members.map(({ row }) => row),
    control,
  );
}

/** A frame that does not record every control; undefined where all do. */
function withoutSettings(members: readonly Member[]): Member | undefined {
  return members.find(({ row }) => CONTROLS.some((control) => settingStops(row, control) === null));
}

function holds(expected: string, measured: string, sentence: string): Finding {
  return finding({ outcome: "kept", code: "holds", expected, measured, sentence });
}

function sameSettings(expected: string, sentence: string): Finding {
  const found = { outcome: "missed", code: "same-settings", measured: "the same" } as const;
  return finding({ ...found, expected, sentence });
}

function notRecorded(expected: string, { ask }: Member): Finding {
  const sentence = `Frame ${ask.frame} does not record its aperture, shutter time and ISO.`;
  return cannotTell({ code: "not-recorded", expected, sentence });
}
