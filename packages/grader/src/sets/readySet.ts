import type { Placement } from "@tonefall/tone-core";
import type { TextPosition } from "../brief/yaml/yamlDocument.ts";
import type { Allowance } from "../model/checkResult.ts";
import type { SimulatedPattern } from "../model/metering.ts";
import type { Basis } from "../model/result.ts";
import type { Control, Pin, RecordClaim, SetKit } from "./setFile.ts";

/** A set made ready: names resolved, texts read, nothing left that could be wrong in itself. */
export interface ReadySet {
  /** As it was given, with forward slashes. */
  readonly path: string;
  /** The folder that its files lie in. */
  readonly folder: string;
  readonly name: string;
  /** SHA-256 of the set file's text, hexadecimal. */
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
  readonly pin: Pin | null;
  /** By name, in text form. */
  readonly regions: Readonly<Record<string, string>>;
  readonly claims: readonly ReadyClaim[];
  readonly at: TextPosition;
}

/** What has to be measured: a region of a frame on a basis; null is the basis that its format has. */
export interface ToneAsk {
  readonly frame: string;
  /** In text form. */
  readonly region: string;
  /** As people know it: its name in the set, or its text. */
  readonly regionName: string;
  readonly basis: Basis | null;
}

/** Stops from one end to the other; an open end is infinite. */
export interface OpenRange {
  readonly from: number;
  readonly to: number;
}

/** A tone with where it is claimed to lie. */
export interface PlacedAsk {
  readonly ask: ToneAsk;
  readonly placement: Pick<Placement, "from" | "to" | "text">;
  /** Stops; null is the default of the basis. */
  readonly tolerance: number | null;
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

/** What frames show together. */
export type ReadyRelation = Entry & { readonly tolerance: number | null } & (
    | {
        readonly kind: "bracket";
        readonly asks: readonly ToneAsk[];
        /** Stops of each frame from the first. */
        readonly offsets: readonly number[];
        readonly varies: Control;
      }
    | { readonly kind: "equivalent"; readonly asks: readonly ToneAsk[] }
    | { readonly kind: "recompose"; readonly metered: PlacedAsk; readonly used: PlacedAsk }
    | {
        readonly kind: "correction";
        readonly asks: readonly [ToneAsk, ToneAsk];
        /** Stops of given exposure from the first frame to the second. */
        readonly by: number;
        readonly placement: PlacedAsk["placement"] | null;
      }
    | { readonly kind: "same-rendering"; readonly asks: readonly ToneAsk[] }
    | { readonly kind: "tonal-pair"; readonly asks: readonly [ToneAsk, ToneAsk] }
  );

/** Every tone that a claim or a relation rests on. */
export function asksOf(entry: ReadyClaim | ReadyRelation): readonly ToneAsk[] {
  if ("ask" in entry) return [entry.ask];
  if ("asks" in entry) return entry.asks;
  return "metered" in entry ? [entry.metered.ask, entry.used.ask] : [];
}
