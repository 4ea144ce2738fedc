import type { TextPosition } from "../brief/yaml/yamlDocument.ts";
import type { Allowance } from "../model/checkResult.ts";
import type { SimulatedPattern } from "../model/metering.ts";
import type { OpenRange, PlacedAsk, ToneAsk } from "./ask.ts";
import type { ReadyRelation } from "./relationKinds.ts";
import type { Pin, RecordClaim, SetKit } from "./setFile.ts";

/** A set with its names resolved and its texts read and checked. */
export interface ReadySet {
  /** As it was given, with forward slashes. */
  readonly path: string;
  /** The folder of the set file, from which its paths go. */
  readonly folder: string;
  readonly name: string;
  /** The set file's text. */
  readonly text: string;
  /** Its SHA-256, hexadecimal. */
  readonly sha256: string;
  readonly allow: readonly Allowance[];
  readonly frames: readonly ReadyFrame[];
  readonly relations: readonly ReadyRelation[];
}

/** A frame of a set. */
export interface ReadyFrame {
  readonly id: string;
  /** From the set's folder, with forward slashes. */
  readonly file: string;
  readonly kit: SetKit | null;
  /** What the codes mean where the file does not say, as in a brief; null is sRGB. */
  readonly transfer: string | null;
  readonly pin: Pin | null;
  /** By name, in text form. */
  readonly regions: Readonly<Record<string, string>>;
  readonly claims: readonly ReadyClaim[];
  readonly at: TextPosition;
}

interface Entry {
  /** Unique within the set. */
  readonly id: string;
  readonly at: TextPosition;
}

/** A claim on one frame. */
export type ReadyClaim = Entry &
  (
    | ({ readonly kind: "falls" } & PlacedAsk)
    | ({ readonly kind: "error"; readonly lies: OpenRange } & PlacedAsk)
    | { readonly kind: "record"; readonly record: ReadyRecord }
    | {
        readonly kind: "reading";
        readonly pattern: SimulatedPattern;
        readonly reads: OpenRange;
        readonly ask: ToneAsk;
        readonly tolerance: number | null;
      }
    | { readonly kind: "unclipped"; readonly ask: ToneAsk; readonly most: number }
    | { readonly kind: "as-shot" }
  );

/** A record claim with its texts read. */
export interface ReadyRecord extends Omit<RecordClaim, "shutter" | "compensation"> {
  /** Seconds. */
  readonly shutter?: number | undefined;
  /** Stops. */
  readonly compensation?: number | undefined;
}

/** Every tone that a claim or a relation needs. */
export function asksOf(entry: ReadyClaim | ReadyRelation): readonly ToneAsk[] {
  if ("ask" in entry) return [entry.ask];
  if ("asks" in entry) return entry.asks;
  return "metered" in entry ? [entry.metered.ask, entry.used.ask] : [];
}
