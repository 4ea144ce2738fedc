import type { ReadyFrame, ReadySet } from "./readySet.ts";
import type { ReadyRelation } from "./relationKinds.ts";

/** A part of a check, by which it is split into shards: a frame, a relation, or the pictures that no frame names. */
export type Unit =
  | { readonly unit: number; readonly kind: "frame"; readonly frame: ReadyFrame }
  | { readonly unit: number; readonly kind: "relation"; readonly relation: ReadyRelation }
  | { readonly unit: number; readonly kind: "extras" };

/** The units of a set, in the order of its file. */
export function unitsOf({ frames, relations }: ReadySet): Unit[] {
  const first = frames.length;
  return [
    ...frames.map((frame, unit): Unit => ({ unit, kind: "frame", frame })),
    ...relations.map((relation, i): Unit => ({ unit: first + i, kind: "relation", relation })),
    { unit: first + relations.length, kind: "extras" },
  ];
}
