import type { YamlDocument } from "../brief/yaml/yamlDocument.ts";
import { GraderError } from "../model/errors.ts";
import { whyUnwritable } from "../run/write/whyUnwritable.ts";
import { writePlace } from "../run/write/writePlace.ts";
import { writeWhole } from "../run/write/writeWhole.ts";
import type { CheckOptions } from "./checkSet.ts";
import type { FrameFacts } from "./frameFacts.ts";
import { judgePin } from "./judgePin.ts";
import { measureSet } from "./measureSet.ts";
import { pinOf } from "./pinOf.ts";
import { readSet } from "./readSet.ts";
import type { Pin } from "./setFile.ts";
import { unitsOf } from "./units.ts";

/**
 * Writes pins of a set's files, as they are now, into its set file. Everything else in the text stays, with comments and layout.
 *
 * @returns what changed, one line each; frames that cannot be read keep their pins
 * @throws {@link GraderError} `bad-set`, or `bad-option` where the set file cannot be written
 */
export async function updatePins(
  path: string,
  options: Omit<CheckOptions, "shard" | "watch"> = {},
): Promise<string[]> {
  const { set, document } = await readSet(path);
  const facts = await measureSet(
    set,
    unitsOf(set).filter(({ kind }) => kind === "frame"),
    options,
  );
  const report: string[] = [];
  const pins: Record<string, Pin> = {};
  for (const frame of set.frames) {
    const known = facts.get(frame.id) as FrameFacts;
    const pin = pinOf(frame, known) ?? frame.pin;
    if (pin) pins[frame.id] = pin;
    if (known.failure) report.push(`${frame.id} cannot be pinned: ${known.failure.message}`);
    else if (!frame.pin) report.push(`${frame.id} is pinned.`);
    const moved = judgePin(frame, known, set).filter(({ outcome }) => outcome === "missed");
    report.push(...moved.map(({ sentence }) => sentence));
  }
  const text = withPins(document, pins);
  if (text === document.text) return report;
  try {
    // Refused if the file has changed meanwhile, so that no edit is lost.
    const over = document.text;
    await writeWhole(writePlace({ path, kind: "set", option: "--update-pins", over }), text);
  } catch (cause) {
    if (cause instanceof GraderError) throw cause;
    throw new GraderError(
      "bad-option",
      `Expected to write pins but ${path} cannot be written ${whyUnwritable(path, cause)}`,
      { cause },
    );
  }
  return report;
}

/** A set file's text with new pins; each is a line of JSON, which is YAML too. */
function withPins(
  { text, extentOf }: Pick<YamlDocument, "text" | "extentOf">,
  pins: Readonly<Record<string, Pin>>,
): string {
  const lines = Object.entries(pins).map(
    ([id, pin]) => `${JSON.stringify(id)}: ${JSON.stringify(pin)}`,
  );
  const old = extentOf(["pins"]);
  const isFlow = (at: number | undefined): boolean => at !== undefined && text[at] === "{";
  if (old) {
    const [start, end] = old;
    const rest = text.slice(text.slice(0, end).trimEnd().length);
    const indent = " ".repeat(start - text.lastIndexOf("\n", start) - 1);
    const value = isFlow(start) ? `{\n  ${lines.join(",\n  ")}\n}` : lines.join(`\n${indent}`);
    return text.slice(0, start) + value + rest;
  }
  const [from, to] = extentOf([]) as readonly [number, number];
  if (!isFlow(from)) return `${text.trimEnd()}\n\npins:\n  ${lines.join("\n  ")}\n`;
  const end = text.lastIndexOf("}", to);
  const head = text.slice(0, end).trimEnd().replace(/,$/, "");
  return `${head},\n"pins": {\n  ${lines.join(",\n  ")}\n}\n${text.slice(end)}`;
}
