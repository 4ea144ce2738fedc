import { createHash } from "node:crypto";
import { dirname } from "node:path";
import { schemaProblem } from "../brief/yaml/schemaProblem.ts";
import {
  parseYaml,
  readYamlFile,
  type YamlDocument,
  type YamlKind,
} from "../brief/yaml/yamlDocument.ts";
import { readFrames } from "./readFrames.ts";
import type { ReadySet } from "./readySet.ts";
import {
  RELATION_KINDS,
  type ReadyRelation,
  type RelationKind,
  type SetPath,
} from "./relationKinds.ts";
import type { TypedRelation } from "./setFile.ts";
import { SetReader } from "./setReader.ts";
import { setFileSchema } from "./setSchema.ts";
import { localFile, type Typed } from "./setValues.ts";

const SET_FILE: YamlKind = { what: "a set file", code: "bad-set", begin: "tonefall new-set" };

/** A set with the text from which it was read, for writing into it. */
export interface SetDocument {
  readonly set: ReadySet;
  readonly document: YamlDocument;
}

/**
 * Reads a set file.
 *
 * @throws {@link GraderError} `bad-set`, with line and column
 */
export async function readSet(path: string): Promise<SetDocument> {
  return readyDocument(await readYamlFile(path, SET_FILE), path);
}

/**
 * Reads a set file's text.
 *
 * @param path - of the set file, for messages and for the set's folder
 * @throws {@link GraderError} `bad-set`, with line and column
 */
export function parseSet(text: string, path: string): SetDocument {
  return readyDocument(parseYaml(text, path, SET_FILE), path);
}

function readyDocument(document: YamlDocument, path: string): SetDocument {
  const parsed = setFileSchema.safeParse(document.data);
  if (!parsed.success) {
    const { what, at, mended } = schemaProblem(parsed.error, setFileSchema, document);
    throw document.refusal(what, at, mended);
  }
  const reader = new SetReader(parsed.data, document);
  const frames = readFrames(reader);
  checkKits(reader);
  for (const id of Object.keys(reader.file.pins ?? {})) {
    reader.named(reader.file.frames, id, "frame", ["pins", id]);
  }
  const set: ReadySet = {
    path: path.replaceAll("\\", "/"),
    folder: dirname(path),
    name: reader.file.set,
    text: document.text,
    sha256: createHash("sha256").update(document.text).digest("hex"),
    allow: reader.file.allow ?? [],
    frames,
    relations: (reader.file.relations ?? []).map((relation, i) =>
      readRelation(relation, ["relations", i], reader),
    ),
  };
  return { set, document };
}

function checkKits(reader: SetReader): void {
  for (const [name, { measured }] of Object.entries(reader.file.kits ?? {})) {
    if (measured !== undefined) reader.value(["kits", name, "measured"], localFile, measured);
  }
}

function readRelation(relation: TypedRelation, path: SetPath, reader: SetReader): ReadyRelation {
  const kind = (Object.keys(RELATION_KINDS) as RelationKind[]).find(
    (name) => relation[name] !== undefined,
  ) as RelationKind;
  const typed = relation[kind] as { readonly tolerance?: Typed };
  const within = [...path, kind];
  return {
    id: reader.id(relation.id, kind, path),
    at: reader.at(path),
    tolerance: reader.tolerance(typed.tolerance, within),
    ...RELATION_KINDS[kind].read(typed, reader, within),
    kind,
  } as ReadyRelation;
}
