import { exposureError } from "@tonefall/tone-core";
import { readyBrief } from "../brief/brief.ts";
import { yamlText } from "../brief/yaml/yamlDocument.ts";
import type { Placement } from "../model/result.ts";
import { shutterText, stopsText } from "../model/words.ts";
import type { MadeTone, WrittenFrame } from "./makeFrames.ts";

/** A frame of the set, and its names. */
export interface SetMember {
  /** Its name in the set. */
  readonly id: string;
  /** Path from the set's folder, with forward slashes. */
  readonly file: string;
  readonly frame: WrittenFrame;
  /** A sentence for people: what it is there to show. */
  readonly caption: string | null;
  /** Where its subject belongs, in a brief's words; null where that is not said. */
  readonly belongs: string | null;
}

/** A series among the frames, by their names in the set. */
export interface SetSeries {
  readonly kind: "bracket" | "equivalent";
  readonly members: readonly string[];
}

/** A claim on what a frame was measured at holds within this, stops: the encoder moves the mean of a tone by less. */
const CLAIM_TOLERANCE = 0.1;

/** Where a reading differs from the compensation by more than this, in stops, the curve or clipping shows in it. Our judgement. */
const FOLLOWED = 0.1;

/**
 * A set file for made frames: each claim follows from how the frame was made and is held by what it shows, so a check proves
 * the set now and whenever it has been copied, resized or exported again.
 *
 * @param name - of the set
 */
export function madeSetText(
  name: string,
  members: readonly SetMember[],
  series: readonly SetSeries[],
): string {
  const relations = series.flatMap((one) => relationLines(one, members));
  return [
    "# What these frames show. Tonefall made them from a capture, so every number follows from how they were made.",
    "# tonefall check proves the set; --update-pins renews the pins when a file was changed on purpose.",
    "",
    `set: ${JSON.stringify(name)}`,
    "frames:",
    ...members.flatMap(frameLines),
    ...(relations.length > 0 ? ["relations:", ...relations] : []),
    "",
  ].join("\n");
}

function frameLines({ id, file, frame, caption, belongs }: SetMember): string[] {
  const { exposure, captureName, curve, tones } = frame;
  const regions = Object.entries(tones).map(
    ([name, { region }]) => `${yamlText(name)}: ${JSON.stringify(region)}`,
  );
  const made = `by Tonefall from ${captureName}: ${exposure.label}, curve ${curve.name}`;
  const why = caption === null ? [] : [`    # ${caption.replace(/\s+/g, " ")}`];
  const claims = [
    ...Object.entries(tones).flatMap(([name, tone]) => toneClaims(name, tone, frame, belongs)),
    ...readingClaims(frame),
    ...recordClaims(frame),
  ];
  return [
    `  ${yamlText(id)}:`,
    ...why,
    `    file: ${JSON.stringify(file)}`,
    `    made: ${JSON.stringify(made)}`,
    ...(regions.length > 0 ? [`    regions: { ${regions.join(", ")} }`] : []),
    ...(claims.length > 0 ? ["    claims:", ...claims.map((claim) => `      - ${claim}`)] : []),
  ];
}

function toneClaims(
  name: string,
  { stops, bound, clippedShare }: MadeTone,
  { exposure }: WrittenFrame,
  belongs: string | null,
): string[] {
  const region = `region: ${yamlText(name)}`;
  const { placed } = exposure;
  const claims: string[] = [];
  if (bound !== null) {
    const outer = (bound === "at least" ? Math.floor : Math.ceil)(10 * stops) / 10;
    claims.push(`error: { ${region}, place: 0, lies: ${bound} ${outer.toFixed(1)} }`);
  } else if (
    placed &&
    name === SUBJECT &&
    Math.abs(exposure.stops + placed.falls - stops) < CLAIM_TOLERANCE
  ) {
    const place = exposure.bracketed ? stops.toFixed(2) : yamlText(placed.place);
    claims.push(`falls: { ${region}, place: ${place}, tolerance: 1/6 }`);
  } else {
    claims.push(`falls: { ${region}, place: ${stops.toFixed(2)}, tolerance: 1/6 }`);
  }
  if (belongs !== null && name === SUBJECT && bound === null) {
    const { from, to } = readyBrief({ place: belongs }).placement as Placement;
    const error = exposureError(stops, { from, to });
    const lies = `${(error - CLAIM_TOLERANCE).toFixed(2)}..${(error + CLAIM_TOLERANCE).toFixed(2)}`;
    claims.push(`error: { ${region}, place: ${yamlText(belongs)}, lies: ${lies} }`);
  }
  if (clippedShare === 0) claims.push(`unclipped: { ${region} }`);
  return claims;
}

/** The region that an exposure places, by its name in the set. */
const SUBJECT = "subject";

function readingClaims({ exposure, shownReading }: WrittenFrame): string[] {
  const { reading, compensation, bracketed } = exposure;
  // The spot of a claim lies in the middle.
  if (!reading || !shownReading || reading.spot || shownReading.bound !== null) return [];
  const asked = compensation ?? 0;
  const followed = !bracketed && Math.abs(shownReading.stops - asked) < FOLLOWED;
  const reads = followed ? stopsText(asked) : stopsText(shownReading.stops);
  return [`reading: { pattern: ${reading.pattern}, reads: ${reads}, tolerance: 1/6 }`];
}

function recordClaims({ exposure }: WrittenFrame): string[] {
  const { settings, mode, reading, compensation, bracketed } = exposure;
  const facts = [
    `mode: ${mode === "manual" ? "manual" : bracketed ? "auto-bracket" : "aperture-priority"}`,
    ...(reading ? [`pattern: ${reading.pattern}`] : []),
    ...(settings
      ? [
          `aperture: ${settings.aperture}`,
          `shutter: ${JSON.stringify(shutterText(settings.shutterSeconds))}`,
          `iso: ${settings.iso}`,
        ]
      : []),
    ...(compensation === null ? [] : [`compensation: ${compensation.toFixed(2)}`]),
  ];
  return [`record: { ${facts.join(", ")} }`];
}

function relationLines({ kind, members: ids }: SetSeries, members: readonly SetMember[]): string[] {
  const all = ids.flatMap((id) => members.find((member) => member.id === id) ?? []);
  // What is clipped in two frames cannot be compared.
  const shown = all.filter(({ frame }) => Object.values(frame.tones)[0]?.bound === null);
  const region = Object.keys(shown[0]?.frame.tones ?? {})[0];
  const [first] = shown;
  if (!first || shown.length < 2 || region === undefined || !first.frame.exposure.settings)
    return [];
  const names = `frames: [${shown.map(({ id }) => yamlText(id)).join(", ")}]`;
  const look = `region: ${yamlText(region)}`;
  if (kind === "equivalent") return [`  - equivalent: { ${names}, ${look}, tolerance: 1/6 }`];
  const steps = shown.map(({ frame }) =>
    JSON.stringify(stopsText(frame.exposure.stops - first.frame.exposure.stops)),
  );
  return [`  - bracket: { ${names}, steps: [${steps.join(", ")}], varies: shutter, ${look} }`];
}
