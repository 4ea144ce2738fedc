import { log2 } from "@tonefall/tone-core";
import type { Exposure } from "../model/result.ts";
import { COMPARED_SETTINGS, secondSentences } from "../model/secondWords.ts";
import { shutterText, stopsText } from "../model/words.ts";
import { type Finding, finding, notRun } from "./finding.ts";
import type { FrameFacts } from "./frameFacts.ts";
import type { ReadyRecord } from "./readySet.ts";
import { SAME_SETTING_STOPS } from "./settingStops.ts";

/** What a claim and the file say about one setting. */
interface Comparison {
  readonly name: keyof ReadyRecord;
  readonly claimed: string;
  /** Null where the file does not record it. */
  readonly recorded: string | null;
  readonly same: boolean;
}

/**
 * Whether a frame's exposure record holds what it is claimed to. Where a second reader has another value for a claimed setting,
 * the sentence says so; the outcome stays.
 */
export function judgeRecord(record: ReadyRecord, frame: string, facts: FrameFacts): Finding {
  const found = judgedRecord(record, frame, facts);
  if (!facts.read) return found;
  const { pattern, ...others } = record;
  const claimed = new Set(
    Object.keys({ ...others, ...(pattern ? { meteringPattern: pattern } : {}) }),
  );
  const asked = COMPARED_SETTINGS.filter((setting) => claimed.has(setting));
  const sentence = [found.sentence, ...secondSentences(facts.read, asked)].join(" ");
  return { ...found, sentence };
}

function judgedRecord(record: ReadyRecord, frame: string, facts: FrameFacts): Finding {
  const all = record as Readonly<Record<string, unknown>>;
  const expected = Object.entries(all)
    .map(([name, value]) => `${name} ${settingText(name, value)}`)
    .join(", ");
  if (facts.failure) return notRun(expected, frame, facts.failure);
  const exposure = facts.read?.exposure;
  const compared = exposure ? comparisons(record, exposure) : [];
  const measured = compared
    .map(({ name, recorded }) => `${name} ${recorded ?? "not recorded"}`)
    .join(", ");
  const wrong = compared.find(({ recorded, same }) => recorded !== null && !same);
  if (wrong) {
    return finding({
      outcome: "missed",
      code: "record-differs",
      expected,
      measured,
      sentence: `Frame ${frame} records ${NAMES[wrong.name]} ${inSentence(wrong.recorded)}, but the claim is ${inSentence(wrong.claimed)}.`,
    });
  }
  const silent = compared.find(({ recorded }) => recorded === null);
  if (silent) {
    const sentence = `Frame ${frame} does not record its ${NAMES[silent.name]}.`;
    return finding({
      outcome: "undecided",
      code: "not-recorded",
      expected,
      measured,
      sentence,
    });
  }
  const sentence = `Frame ${frame} records the settings that are claimed.`;
  return finding({ outcome: "kept", code: "holds", expected, measured, sentence });
}

/** What sentences call the settings. */
const NAMES: Readonly<Record<keyof ReadyRecord, string>> = {
  mode: "mode",
  pattern: "metering pattern",
  aperture: "aperture",
  shutter: "shutter time",
  iso: "ISO",
  compensation: "exposure compensation",
  flash: "flash",
};

/** A setting as a sentence has it: whether the flash fired is no "true". */
function inSentence(text: string | null): string | null {
  if (text === "true") return "fired";
  return text === "false" ? "not fired" : text;
}

/** A setting as a photographer writes it, claimed and recorded alike: `1/45`, not `0.0222`. */
function settingText(name: string, value: unknown): string {
  if (typeof value !== "number") return String(value);
  if (name === "shutter") return shutterText(value);
  return name === "compensation" ? stopsText(value) : String(value);
}

function comparisons(record: ReadyRecord, exposure: Exposure): Comparison[] {
  const { mode, pattern, aperture, shutter, iso, compensation, flash } = record;
  const rows: Comparison[] = [];
  const say = (
    name: keyof ReadyRecord,
    claimed: unknown,
    recorded: unknown,
    same: boolean,
  ): void => {
    const text = recorded === null ? null : settingText(name, recorded);
    rows.push({ name, claimed: settingText(name, claimed), recorded: text, same });
  };
  if (mode !== undefined) {
    // "auto" and "manual" say who set the exposure, the other words are programmes; a camera may record either.
    const said = [exposure.programme.value, exposure.mode.value].filter((value) => value !== null);
    say("mode", mode, said.length === 0 ? null : said.join(" / "), said.includes(mode));
  }
  if (pattern !== undefined) {
    const recorded = exposure.meteringPattern.value;
    say("pattern", pattern, recorded === "unknown" ? null : recorded, recorded === pattern);
  }
  const settings = { aperture, shutter, iso };
  for (const name of ["aperture", "shutter", "iso"] as const) {
    const claimed = settings[name];
    if (claimed === undefined) continue;
    const { value, exact } = exposure[name];
    const stops = name === "aperture" ? 2 : 1;
    const near = (recorded: number): boolean =>
      stops * Math.abs(log2(recorded / claimed)) < SAME_SETTING_STOPS;
    say(name, claimed, value, value !== null && (near(value) || near(exact ?? value)));
  }
  if (compensation !== undefined) {
    const { value, exact } = exposure.compensation;
    const recorded = exact ?? value;
    const same = recorded !== null && Math.abs(recorded - compensation) < SAME_SETTING_STOPS;
    say("compensation", compensation, value, same);
  }
  if (flash !== undefined) {
    const recorded = exposure.flashFired.value;
    say("flash", flash, recorded, recorded === flash);
  }
  return rows;
}
