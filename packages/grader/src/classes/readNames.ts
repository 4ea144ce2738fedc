import { nearestWord } from "@tonefall/tone-core";
import { z } from "zod";
import { schemaProblem } from "../brief/yaml/schemaProblem.ts";
import { readYamlFile, type YamlKind } from "../brief/yaml/yamlDocument.ts";
import { sameName } from "../model/sameName.ts";
import type { ReadyClass } from "./classFile.ts";

const NAMES_FILE: YamlKind = { what: "a names file", code: "bad-class" };

const namesSchema = z
  .record(z.string(), z.string().min(1).max(200))
  .describe("codes, each with a name");

/**
 * The names of students by code, from the names file of a class; none where the class file gives no such file. Only who asks
 * for names may show them.
 *
 * @throws {@link GraderError} `bad-class` with line and column, for a code that the class does not have
 */
export async function readNames({
  namesFile,
  students,
}: ReadyClass): Promise<ReadonlyMap<string, string>> {
  if (namesFile === null) return new Map();
  const document = await readYamlFile(namesFile, NAMES_FILE);
  const parsed = namesSchema.safeParse(document.data ?? {});
  if (!parsed.success) {
    const { what, at, mended } = schemaProblem(parsed.error, namesSchema, document);
    throw document.refusal(what, at, mended);
  }
  const names = new Map<string, string>();
  for (const [code, name] of Object.entries(parsed.data)) {
    const student = students.find((one) => sameName(one.code, code));
    if (!student) {
      const nearest = nearestWord(
        code,
        students.map((one) => one.code),
      );
      const help = nearest === null ? "" : `; did you mean "${nearest}"?`;
      throw document.refusal(
        `"${code}" is not a code of the class${help}`,
        document.keyPosition([], code),
      );
    }
    names.set(student.code, name);
  }
  return names;
}
