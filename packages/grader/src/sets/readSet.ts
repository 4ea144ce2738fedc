import { createHash } from "node:crypto";
import { dirname } from "node:path";
import { nearestWord, parsePlacement } from "@tonefall/tone-core";
import { readyBrief } from "../brief/brief.ts";
import { likelyMeant, type TypedKind } from "../brief/likelyMeant.ts";
import { schemaProblem } from "../brief/yaml/schemaProblem.ts";
import {
  parseYaml,
  readYamlFile,
  type TextPosition,
  type YamlDocument,
  type YamlKind,
  yamlText,
} from "../brief/yaml/yamlDocument.ts";
import type { Basis } from "../model/result.ts";
import type {
  PlacedAsk,
  ReadyClaim,
  ReadyFrame,
  ReadyRecord,
  ReadyRelation,
  ReadySet,
  ToneAsk,
} from "./readySet.ts";
import type {
  RecordClaim,
  SetFile,
  Typed,
  TypedClaim,
  TypedFrame,
  TypedRelation,
} from "./setFile.ts";
import { setFileSchema } from "./setSchema.ts";
import {
  equalOffsets,
  localFile,
  offsetsFromFirst,
  openRange,
  regionOf,
  secondsOf,
  shareOf,
  stopsOf,
} from "./setValues.ts";

const SET_FILE: YamlKind = { what: "a set file", code: "bad-set" };

/** A set with the text it was read from, for what writes into it. */
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

/** {@link readSet} for a text at hand, as if it stood at a path. */
export function parseSet(text: string, path: string): SetDocument {
  return readyDocument(parseYaml(text, path, SET_FILE), path);
}

function readyDocument(document: YamlDocument, path: string): SetDocument {
  const parsed = setFileSchema.safeParse(document.data);
  if (!parsed.success) {
    const { what, at, mended } = schemaProblem(parsed.error, setFileSchema, document);
    throw document.refusal(what, at, mended);
  }
  return { set: new SetReader(parsed.data, document).read(path), document };
}

type Path = readonly (string | number)[];

/** Which kind of text is typed at a place of a set file. */
function kindAt(path: Path): TypedKind {
  const key = path.at(-1);
  if (key === "region" || path.includes("regions")) return "region";
  return key === "place" || key === "lies" || key === "reads" ? "place" : "stops";
}

/** Resolves names and reads texts; every refusal says where. */
class SetReader {
  readonly #file: SetFile;
  readonly #document: YamlDocument;
  readonly #ids = new Set<string>();
  readonly #regions = new Map<string, Readonly<Record<string, string>>>();

  constructor(file: SetFile, document: YamlDocument) {
    this.#file = file;
    this.#document = document;
  }

  read(path: string): ReadySet {
    const entries = Object.entries(this.#file.frames);
    if (entries.length === 0) this.#refuse("the set has no frames", ["frames"]);
    for (const [id] of entries) this.#regions.set(id, this.#inherited(id).regions);
    const frames = entries.map(([id, frame]) => this.#frame(id, frame));
    this.#requireOneEach(frames);
    for (const [name, { measured }] of Object.entries(this.#file.kits ?? {})) {
      if (measured !== undefined) this.#reading(["kits", name, "measured"], localFile, measured);
    }
    for (const id of Object.keys(this.#file.pins ?? {})) {
      this.#named(this.#file.frames, id, "frame", ["pins", id]);
    }
    return {
      path: path.replaceAll("\\", "/"),
      folder: dirname(path),
      name: this.#file.set,
      sha256: createHash("sha256").update(this.#document.text).digest("hex"),
      allow: this.#file.allow ?? [],
      frames,
      relations: (this.#file.relations ?? []).map((relation, i) => this.#relation(relation, i)),
    };
  }

  #frame(id: string, frame: TypedFrame): ReadyFrame {
    const path = ["frames", id];
    const { kit } = this.#inherited(id);
    return {
      id,
      file: this.#reading([...path, "file"], localFile, frame.file),
      kit:
        kit === undefined ? null : this.#named(this.#file.kits ?? {}, kit, "kit", [...path, "kit"]),
      pin: this.#file.pins?.[id] ?? null,
      regions: this.#regions.get(id) ?? {},
      claims: (frame.claims ?? []).map((claim, i) =>
        this.#claim(id, claim, [...path, "claims", i]),
      ),
      at: this.#at(path),
    };
  }

  /** A frame's kit and regions, its own before those of the frames it is like. */
  #inherited(id: string): { kit: string | undefined; regions: Record<string, string> } {
    let kit: string | undefined;
    let regions: Record<string, string> = {};
    const seen: string[] = [];
    for (let next: string | undefined = id; next !== undefined; ) {
      const path: Path = ["frames", seen.at(-1) ?? id, "like"];
      if (seen.includes(next)) {
        this.#refuse(
          `frames cannot be like each other in a circle: ${[...seen, next].join(", ")}`,
          path,
        );
      }
      const frame: TypedFrame = this.#named(this.#file.frames, next, "frame", path);
      seen.push(next);
      kit ??= frame.kit;
      regions = { ...this.#readRegions(frame, next), ...regions };
      next = frame.like;
    }
    return { kit, regions };
  }

  #readRegions({ regions }: TypedFrame, id: string): Record<string, string> {
    return Object.fromEntries(
      Object.entries(regions ?? {}).map(([name, region]) => [
        name,
        this.#reading(["frames", id, "regions", name], regionOf, region),
      ]),
    );
  }

  #claim(frame: string, claim: TypedClaim, path: Path): ReadyClaim {
    const kind = (["falls", "error", "record", "reading", "unclipped", "as-shot"] as const).find(
      (name) => claim[name] !== undefined,
    ) as Exclude<keyof TypedClaim, "id" | "why">;
    const entry = { id: this.#id(claim.id, `${frame}.${kind}`, path), at: this.#at(path) };
    const within = [...path, kind];
    if (claim.falls) {
      return { ...entry, kind: "falls", ...this.#placed({ frame, ...claim.falls }, within) };
    }
    if (claim.error) {
      const lies = this.#reading([...within, "lies"], openRange, claim.error.lies);
      return { ...entry, kind: "error", lies, ...this.#placed({ frame, ...claim.error }, within) };
    }
    if (claim.record)
      return { ...entry, kind: "record", record: this.#record(claim.record, within) };
    if (claim.reading) {
      const { pattern, reads, basis, tolerance } = claim.reading;
      return {
        ...entry,
        kind: "reading",
        pattern,
        reads: this.#reading([...within, "reads"], openRange, reads),
        ask: this.#ask({ frame, region: "whole", basis }, within),
        tolerance: this.#tolerance(tolerance, within),
      };
    }
    if (claim.unclipped) {
      const { region, most = 0 } = claim.unclipped;
      return {
        ...entry,
        kind: "unclipped",
        ask: this.#ask({ frame, region }, within),
        most: this.#reading([...within, "most"], shareOf, most),
      };
    }
    return { ...entry, kind: "as-shot" };
  }

  #relation(relation: TypedRelation, index: number): ReadyRelation {
    const path: Path = ["relations", index];
    const { bracket, equivalent, recompose, correction } = relation;
    const alike = relation["same-rendering"];
    const pair = relation["tonal-pair"];
    const entry = (kind: string, tolerance?: Typed) => ({
      id: this.#id(relation.id, kind, path),
      at: this.#at(path),
      tolerance: this.#tolerance(tolerance, [...path, kind]),
    });
    const asks = (
      kind: string,
      frames: readonly string[],
      look: Omit<AskText, "frame">,
    ): ToneAsk[] => {
      this.#requireDistinct(frames, [...path, kind]);
      return frames.map((frame) => this.#ask({ frame, ...look }, [...path, kind]));
    };
    if (bracket) {
      const { region, basis, frames, steps, varies } = bracket;
      return {
        ...entry("bracket", bracket.tolerance),
        kind: "bracket",
        asks: asks("bracket", frames, { region, basis }),
        offsets: this.#offsets(steps, frames.length, [...path, "bracket", "steps"]),
        varies,
      };
    }
    if (equivalent) {
      const { region, basis, frames } = equivalent;
      return {
        ...entry("equivalent", equivalent.tolerance),
        kind: "equivalent",
        asks: asks("equivalent", frames, { region, basis }),
      };
    }
    if (recompose) {
      const { basis, metered, used } = recompose;
      const within = [...path, "recompose"];
      this.#requireDistinct([metered.frame, used.frame], within);
      return {
        ...entry("recompose"),
        kind: "recompose",
        metered: this.#placed({ ...metered, basis }, [...within, "metered"]),
        used: this.#placed({ ...used, basis }, [...within, "used"]),
      };
    }
    if (correction) {
      const { region, basis, from, to, by, place } = correction;
      const within = [...path, "correction"];
      const stops = this.#reading([...within, "by"], stopsOf, by);
      if (stops === 0) this.#refuse("a correction is not 0", [...within, "by"]);
      return {
        ...entry("correction", correction.tolerance),
        kind: "correction",
        asks: asks("correction", [from, to], { region, basis }) as [ToneAsk, ToneAsk],
        by: stops,
        placement:
          place === undefined ? null : this.#reading([...within, "place"], parsePlacement, place),
      };
    }
    if (alike) {
      const within = [...path, "same-rendering"];
      this.#requireDistinct(
        alike.frames.map(({ frame }) => frame),
        within,
      );
      return {
        ...entry("same-rendering", alike.tolerance),
        kind: "same-rendering",
        asks: alike.frames.map((named) => this.#ask({ ...named, basis: alike.basis }, within)),
      };
    }
    const { frame, regions, basis, tolerance } = pair as NonNullable<typeof pair>;
    const within = [...path, "tonal-pair"];
    this.#requireDistinct(regions, within);
    return {
      ...entry("tonal-pair", tolerance),
      kind: "tonal-pair",
      asks: regions.map((region) => this.#ask({ frame, region, basis }, within)) as [
        ToneAsk,
        ToneAsk,
      ],
    };
  }

  #placed(
    {
      place,
      tolerance,
      ...ask
    }: AskText & { readonly place: Typed; readonly tolerance?: Typed | undefined },
    path: Path,
  ): PlacedAsk {
    return {
      ask: this.#ask(ask, path),
      placement: this.#reading([...path, "place"], parsePlacement, place),
      tolerance: this.#tolerance(tolerance, path),
    };
  }

  #ask({ frame, region, basis }: AskText, path: Path): ToneAsk {
    this.#named(this.#file.frames, frame, "frame", path);
    const regions = this.#regions.get(frame) ?? {};
    const names = Object.keys(regions);
    if (region === undefined && names.length > 1) {
      this.#refuse(`frame "${frame}" has several regions (${names.join(", ")}); say which`, path);
    }
    const name = region ?? names[0] ?? "whole";
    return {
      frame,
      region: regions[name] ?? this.#inlineRegion(name, names, path),
      regionName: name,
      basis: basis ?? this.#file.defaults?.basis ?? null,
    };
  }

  #inlineRegion(region: string, names: readonly string[], path: Path): string {
    try {
      return regionOf(region);
    } catch (error) {
      const nearest = nearestWord(region, names);
      const known = nearest ? `did you mean "${nearest}"?` : (error as Error).message;
      return this.#refuse(`"${region}" is no region of the frame; ${known}`, [...path, "region"]);
    }
  }

  #record({ shutter, compensation, ...rest }: RecordClaim, path: Path): ReadyRecord {
    if (Object.keys(rest).length === 0 && shutter === undefined && compensation === undefined) {
      this.#refuse("a record claim holds at least one setting", path);
    }
    return {
      ...rest,
      ...(shutter === undefined
        ? {}
        : { shutter: this.#reading([...path, "shutter"], secondsOf, shutter) }),
      ...(compensation === undefined
        ? {}
        : { compensation: this.#reading([...path, "compensation"], stopsOf, compensation) }),
    };
  }

  #offsets(steps: Typed | readonly Typed[], frames: number, path: Path): readonly number[] {
    if (typeof steps === "number" || typeof steps === "string") {
      return this.#reading(path, (step) => equalOffsets(stopsOf(step), frames), steps);
    }
    const offsets = steps.map((offset, i) => this.#reading([...path, i], stopsOf, offset));
    return this.#reading(path, (offsets) => offsetsFromFirst(offsets, frames), offsets);
  }

  #tolerance(own: Typed | undefined, path: Path): number | null {
    const tolerance = own ?? this.#file.defaults?.tolerance;
    if (tolerance === undefined) return null;
    const at = own === undefined ? ["defaults", "tolerance"] : [...path, "tolerance"];
    return this.#reading(at, (tolerance) => readyBrief({ tolerance }).tolerance, tolerance);
  }

  #requireOneEach(frames: readonly ReadyFrame[]): void {
    const owners = new Map<string, string>();
    for (const { id, file } of frames) {
      const other = owners.get(file);
      if (other !== undefined) {
        this.#refuse(`frames "${other}" and "${id}" are the same file`, ["frames", id, "file"]);
      }
      owners.set(file, id);
    }
  }

  #requireDistinct(names: readonly string[], path: Path): void {
    const twice = names.find((name, i) => names.indexOf(name) !== i);
    if (twice !== undefined) this.#refuse(`"${twice}" stands in it twice`, path);
  }

  #id(own: string | undefined, usual: string, path: Path): string {
    if (own !== undefined) {
      if (this.#ids.has(own))
        this.#refuse(`the id "${own}" is taken by another claim`, [...path, "id"]);
      this.#ids.add(own);
      return own;
    }
    let id = usual;
    for (let n = 2; this.#ids.has(id); n++) id = `${usual}-${n}`;
    this.#ids.add(id);
    return id;
  }

  #named<T>(known: Readonly<Record<string, T>>, name: string, what: string, path: Path): T {
    const found = Object.hasOwn(known, name) ? known[name] : undefined;
    if (found !== undefined) return found;
    const nearest = nearestWord(name, Object.keys(known));
    const help = nearest ? `; did you mean "${nearest}"?` : "";
    return this.#refuse(`"${name}" is no ${what} of this set${help}`, path);
  }

  /** A value as a reader of it has it; what the reader refuses is refused at its place. */
  #reading<Text, T>(path: Path, read: (text: Text) => T, text: Text): T {
    try {
      return read(text);
    } catch (error) {
      const meant = likelyMeant(kindAt(path), text, (guess) => read(guess as Text));
      const mended = meant === null ? null : this.#document.lineWith(path, yamlText(meant));
      throw this.#document.refusal((error as Error).message, this.#at(path), mended);
    }
  }

  #at(path: Path): TextPosition {
    return this.#document.positionOf(path) ?? { line: 1, column: 1 };
  }

  #refuse(what: string, path: Path): never {
    throw this.#document.refusal(what, this.#at(path));
  }
}

interface AskText {
  readonly frame: string;
  readonly region?: string | undefined;
  readonly basis?: Basis | undefined;
}
