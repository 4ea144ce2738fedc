import { nearestWord, parsePlacement } from "@tonefall/tone-core";
import { readyBrief } from "../brief/brief.ts";
import { likelyMeant, type TypedKind } from "../brief/likelyMeant.ts";
import { type TextPosition, type YamlDocument, yamlText } from "../brief/yaml/yamlDocument.ts";
import type { PlacedAsk, ToneAsk } from "./ask.ts";
import type { RelationReader, SetPath, TypedAsk } from "./relationKinds.ts";
import type { SetFile } from "./setFile.ts";
import { regionOf, type Typed } from "./setValues.ts";

/** The kind of text that is typed at a place of a set file. */
function kindAt(path: SetPath): TypedKind {
  const key = path.at(-1);
  if (key === "region" || path.includes("regions")) return "region";
  if (key === "transfer") return "transfer";
  return key === "place" || key === "lies" || key === "reads" ? "place" : "stops";
}

/** Reads the names and values of one set file; every refusal names the place. */
export class SetReader implements RelationReader {
  readonly file: SetFile;
  /** The regions of each frame by name, in text form; frames fill it before claims are read. */
  readonly regions: Map<string, Readonly<Record<string, string>>> = new Map();
  readonly #document: YamlDocument;
  readonly #ids = new Set<string>();

  constructor(file: SetFile, document: YamlDocument) {
    this.file = file;
    this.#document = document;
  }

  /** A claim's or relation's own id, or the usual one with a number where that is taken. */
  id(own: string | undefined, usual: string, path: SetPath): string {
    if (own !== undefined && this.#ids.has(own)) {
      this.refuse(`the id "${own}" is taken by another claim`, [...path, "id"]);
    }
    let id = own ?? usual;
    for (let n = 2; this.#ids.has(id); n++) id = `${usual}-${n}`;
    this.#ids.add(id);
    return id;
  }

  ask({ frame, region, basis }: TypedAsk, path: SetPath): ToneAsk {
    this.named(this.file.frames, frame, "frame", path);
    const regions = this.regions.get(frame) ?? {};
    const names = Object.keys(regions);
    if (region === undefined && names.length > 1) {
      this.refuse(
        `frame "${frame}" has several regions (${names.join(", ")}); name one of them`,
        path,
      );
    }
    const name = region ?? names[0] ?? "whole";
    return {
      frame,
      region: regions[name] ?? this.#inlineRegion(name, names, path),
      regionName: name,
      basis: basis ?? this.file.defaults?.basis ?? null,
    };
  }

  placed(
    {
      place,
      tolerance,
      ...ask
    }: TypedAsk & { readonly place: Typed; readonly tolerance?: Typed | undefined },
    path: SetPath,
  ): PlacedAsk {
    return {
      ask: this.ask(ask, path),
      placement: this.value([...path, "place"], parsePlacement, place),
      tolerance: this.tolerance(tolerance, path),
    };
  }

  /** A tolerance, stops: its own, or the set's default; null where there is neither. */
  tolerance(own: Typed | undefined, path: SetPath): number | null {
    const typed = own ?? this.file.defaults?.tolerance;
    if (typed === undefined) return null;
    const at = own === undefined ? ["defaults", "tolerance"] : [...path, "tolerance"];
    return this.value(at, (tolerance) => readyBrief({ tolerance }).tolerance, typed);
  }

  /** The entry of a name in a mapping of the set file. */
  named<T>(known: Readonly<Record<string, T>>, name: string, what: string, path: SetPath): T {
    const found = Object.hasOwn(known, name) ? known[name] : undefined;
    if (found !== undefined) return found;
    const nearest = nearestWord(name, Object.keys(known));
    const help = nearest ? `; did you mean "${nearest}"?` : "";
    return this.refuse(`"${name}" is not a ${what} of this set${help}`, path);
  }

  /** A value as its reader gives it; what the reader refuses is refused here with the place. */
  value<Text, T>(path: SetPath, read: (text: Text) => T, text: Text): T {
    try {
      return read(text);
    } catch (error) {
      const meant = likelyMeant(kindAt(path), text, (guess) => read(guess as Text));
      const mended = meant === null ? null : this.#document.lineWith(path, yamlText(meant));
      throw this.#document.refusal((error as Error).message, this.at(path), mended);
    }
  }

  requireDistinct(names: readonly string[], path: SetPath): void {
    const twice = names.find((name, i) => names.indexOf(name) !== i);
    if (twice !== undefined) this.refuse(`"${twice}" appears in it twice`, path);
  }

  at(path: SetPath): TextPosition {
    return this.#document.positionOf(path) ?? { line: 1, column: 1 };
  }

  refuse(what: string, path: SetPath): never {
    throw this.#document.refusal(what, this.at(path));
  }

  #inlineRegion(region: string, names: readonly string[], path: SetPath): string {
    try {
      return regionOf(region);
    } catch (error) {
      const nearest = nearestWord(region, names);
      const known = nearest ? `did you mean "${nearest}"?` : (error as Error).message;
      return this.refuse(`"${region}" is not a region of this frame; ${known}`, [
        ...path,
        "region",
      ]);
    }
  }
}
