import { fileURLToPath } from "node:url";
import { nearestWord } from "@tonefall/tone-core";
import { readYamlFile, type YamlDocument, type YamlKind } from "../../brief/yaml/yamlDocument.ts";
import { PACKAGE_HOME } from "../../picture/packageHome.ts";

/** Words of feedback sheets by key, with slots in braces. */
export type SheetTemplates = Readonly<Record<string, string>>;

/** Templates to write with, and what a teacher should know of the file they come from. */
export interface ReadTemplates {
  /** The words to write with. */
  readonly templates: SheetTemplates;
  /** One sentence each: keys left out, and keys that are none. */
  readonly remarks: readonly string[];
}

const TEMPLATE_FILE: YamlKind = { what: "a template file", code: "bad-option" };

/** The English words, as shipped; the same seen from the sources and from the build. */
const ENGLISH: string = fileURLToPath(new URL("templates/english.yaml", PACKAGE_HOME));

/** A longer text would not fit its place on the sheet. */
const LONGEST_TEXT = 400;

/**
 * Reads the words of feedback sheets.
 *
 * @param path - a template file; left out for the English one
 * @throws {@link GraderError} `bad-option` where the file cannot be read, holds anything but texts, or a slot that its text
 *   does not have
 */
export async function readTemplates(path?: string): Promise<ReadTemplates> {
  const english = textsOf(await readYamlFile(ENGLISH, TEMPLATE_FILE));
  if (path === undefined) return { templates: english, remarks: [] };
  const document = await readYamlFile(path, TEMPLATE_FILE);
  const own = textsOf(document);
  const known = Object.keys(english);
  const missing = known.filter((key) => !Object.hasOwn(own, key));
  const unknown = Object.keys(own).filter((key) => !Object.hasOwn(english, key));
  for (const key of known.filter((key) => Object.hasOwn(own, key))) {
    requireSlots(key, own[key] as string, english[key] as string, document);
  }
  const kept = Object.entries(own).filter(([key]) => Object.hasOwn(english, key));
  return {
    templates: { ...english, ...Object.fromEntries(kept) },
    remarks: [
      ...(missing.length > 0
        ? [`${path}: these texts are missing and stay in English: ${missing.join(", ")}`]
        : []),
      ...unknown.map((key) => {
        const nearest = nearestWord(key, known);
        return `${path}: no sheet uses "${key}"${nearest ? `; did you mean "${nearest}"?` : ""}`;
      }),
    ],
  };
}

function textsOf(document: YamlDocument): Record<string, string> {
  const { data } = document;
  if (typeof data !== "object" || data === null || Array.isArray(data)) {
    throw document.refusal("a template file holds keys with a text each");
  }
  for (const [key, text] of Object.entries(data)) {
    if (typeof text !== "string" || text.length > LONGEST_TEXT) {
      throw document.refusal(
        `"${key}" should hold a text of at most ${LONGEST_TEXT} characters; put it in quotes`,
        document.keyPosition([], key),
      );
    }
  }
  return data as Record<string, string>;
}

/** A slot that nothing fills would be printed as it stands. */
function requireSlots(key: string, text: string, english: string, document: YamlDocument): void {
  const known = slotsOf(english);
  const strange = slotsOf(text).find((slot) => !known.includes(slot));
  if (strange === undefined) return;
  const has = known.length > 0 ? `its slots are ${known.join(", ")}` : "it has no slots";
  throw document.refusal(`"${key}" has no slot ${strange}; ${has}`, document.keyPosition([], key));
}

function slotsOf(text: string): string[] {
  return [...text.matchAll(/\{[a-z-]{1,30}\}/g)].map(([slot]) => slot);
}

/** A template with its slots filled. */
export function filled(
  templates: SheetTemplates,
  key: string,
  filling: Readonly<Record<string, string | number>> = {},
): string {
  const text = templates[key] ?? "";
  return text.replace(/\{([a-z-]{1,30})\}/g, (slot, name: string) =>
    Object.hasOwn(filling, name) ? String(filling[name]) : slot,
  );
}
