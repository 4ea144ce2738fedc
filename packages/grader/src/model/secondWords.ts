import type { ComparedSetting, ReadingComparison } from "@tonefall/exif-reader";
import type { Exposure, ReadResult } from "./result.ts";
import { settingNumber, shutterText, stopsText } from "./words.ts";

/** How a compared setting is named and written for people. */
interface SettingWords {
  readonly name: string;
  readonly text: (value: never) => string;
}

const SETTINGS: Readonly<Record<ComparedSetting, SettingWords>> = {
  aperture: { name: "aperture", text: (value: number) => `f/${settingNumber(value)}` },
  shutter: {
    name: "shutter time",
    // A second reader refuses nothing, and 0 or less is not a time.
    text: (value: number) => (value > 0 ? shutterText(value) : `${settingNumber(value)} s`),
  },
  iso: { name: "ISO", text: (value: number) => settingNumber(value) },
  compensation: { name: "compensation", text: (value: number) => stopsText(value) },
  meteringPattern: { name: "metering pattern", text: (value: string) => value },
};

/** The settings that two readers are compared on, in the order in which they are shown. */
export const COMPARED_SETTINGS = Object.keys(SETTINGS) as readonly ComparedSetting[];

/** Settings for which the second reader has a value that is not the record's. */
export function differingSettings({ fields }: ReadingComparison): ComparedSetting[] {
  return COMPARED_SETTINGS.filter((setting) => {
    const agreement = fields?.[setting].agreement;
    return agreement === "differs" || agreement === "only-second";
  });
}

/** Where two readers stand, in a word or two: `agrees`, `differs: aperture`, `finds nothing`, `cannot read it`. */
export function secondWord(comparison: ReadingComparison): string {
  if (!comparison.fields) return "cannot read it";
  const differing = differingSettings(comparison);
  if (differing.length > 0) {
    return `differs: ${differing.map((setting) => SETTINGS[setting].name).join(", ")}`;
  }
  const all = Object.values(comparison.fields);
  if (all.some(({ agreement }) => agreement === "agrees")) return "agrees";
  return all.some(({ agreement }) => agreement === "only-first")
    ? "finds nothing"
    : "nothing recorded";
}

/**
 * What the two readers say where they differ, and why, one sentence or two for each setting; empty where they do not.
 *
 * @param asked - the settings that matter; all where it is not given
 */
export function secondSentences(
  { exposure, secondReading }: Pick<ReadResult, "secondReading"> & Compared,
  asked: readonly ComparedSetting[] = COMPARED_SETTINGS,
): string[] {
  if (!exposure || !secondReading?.fields) return [];
  const { fields, reader } = secondReading;
  return differingSettings(secondReading)
    .filter((setting) => asked.includes(setting))
    .map((setting) => {
      const { value, why } = fields[setting];
      const theirs = settingText(setting, value);
      const ours = settingText(setting, exposure[setting].value);
      return `${reader} reads ${theirs} for the ${SETTINGS[setting].name}, Tonefall ${ours}. ${why?.message}`;
    });
}

/** The part of a row that is compared. */
interface Compared {
  readonly exposure: Pick<Exposure, ComparedSetting> | null;
}

function settingText(setting: ComparedSetting, value: number | string | null): string {
  return value === null ? "nothing" : SETTINGS[setting].text(value as never);
}
