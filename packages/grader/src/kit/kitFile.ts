import { responseCurve, ToneError } from "@tonefall/tone-core";
import { Document, visit } from "yaml";
import { schemaProblem } from "../brief/yaml/schemaProblem.ts";
import { readYamlFile, type YamlKind } from "../brief/yaml/yamlDocument.ts";
import { type CameraKit, type KitPoint, kitPoints, type NamedKit } from "./kit.ts";
import { kitSchema } from "./kitSchema.ts";

const KIT_FILE: YamlKind = { what: "a kit file", code: "bad-kit", begin: "tonefall kit bracket" };

/** Codes from one point to the next in a kit file: curves are nearly straight between them. */
const FILE_STEP = 5;

/** Decimals of stops in a kit file: a thousandth is finer than any measurement. */
const DECIMALS = 3;

/**
 * Reads a kit file.
 *
 * @throws {@link GraderError} `bad-kit`, with line and column
 */
export async function readKitFile(path: string): Promise<NamedKit> {
  const document = await readYamlFile(path, KIT_FILE);
  const { data, refusal, positionOf } = document;
  const parsed = kitSchema.safeParse(data);
  if (!parsed.success) {
    const { what, at, mended } = schemaProblem(parsed.error, kitSchema, document);
    throw refusal(what, at, mended);
  }
  const kit = parsed.data;
  for (const [name, points] of Object.entries(kit.curve ?? {})) {
    try {
      if (points) responseCurve(kitPoints(points));
    } catch (error) {
      if (!(error instanceof ToneError)) throw error;
      throw refusal(error.message, positionOf(["curve", name]));
    }
  }
  return { kit, file: path.replaceAll("\\", "/") };
}

/** A kit as the text of a kit file, its curves as small tables. */
export function kitText(kit: CameraKit): string {
  const curve = Object.entries(kit.curve ?? {}).map(([name, points]) => [
    name,
    points && smallTable(points),
  ]);
  const plain = { ...kit, curve: kit.curve && Object.fromEntries(curve) };
  const document = new Document(JSON.parse(JSON.stringify(plain, rounded)));
  visit(document, {
    Map: (_, map) => {
      // A point of a curve, and a frame of a bracket, are one line each.
      if ((map.has("code") || map.has("residual")) && map.items.length <= 3) map.flow = true;
    },
  });
  return document.toString({ lineWidth: 100 });
}

function smallTable(points: readonly KitPoint[]): readonly KitPoint[] {
  return points.filter(
    ({ code }, i) => i === 0 || i === points.length - 1 || code % FILE_STEP === 0,
  );
}

function rounded(_key: string, value: unknown): unknown {
  return typeof value === "number" ? Number(value.toFixed(DECIMALS)) : value;
}
