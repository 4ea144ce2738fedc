import { parsePlacement } from "@tonefall/tone-core";
import { z } from "zod";
import type { TextPosition } from "../brief/yaml/yamlDocument.ts";
import type { OpenRange, PlacedAsk, ToneAsk } from "./ask.ts";
import type { Finding } from "./finding.ts";
import { judgePlaced } from "./judgePlaced.ts";
import {
  judgeControl,
  judgeGiven,
  judgeKeptSettings,
  judgeOtherExposure,
  judgeOtherSettings,
  judgeSameExposure,
} from "./judgeSettings.ts";
import {
  judgeAlike,
  judgeLighter,
  judgeMove,
  judgeOff,
  judgeOn,
  judgeOrder,
} from "./judgeTones.ts";
import { type Member, worst } from "./relationMember.ts";
import { frame, pixelBasis, place, region, stops, tolerance } from "./schemaParts.ts";
import type { Control } from "./settingStops.ts";
import { equalOffsets, offsetsFromFirst, stopsOf, type Typed } from "./setValues.ts";

/** A path into a set file. */
export type SetPath = readonly (string | number)[];

/** A tone as a set file asks for it. */
export interface TypedAsk {
  readonly frame: string;
  readonly region?: string | undefined;
  readonly basis?: "settings" | "rendered" | "scene" | undefined;
}

/** What reads the values of a relation; every refusal names the place. */
export interface RelationReader {
  ask(typed: TypedAsk, path: SetPath): ToneAsk;
  placed(
    typed: TypedAsk & { readonly place: Typed; readonly tolerance?: Typed | undefined },
    path: SetPath,
  ): PlacedAsk;
  value<Text, T>(path: SetPath, read: (text: Text) => T, text: Text): T;
  requireDistinct(names: readonly string[], path: SetPath): void;
  refuse(what: string, path: SetPath): never;
}

/** What each kind of relation holds once it has been read. */
interface Relations {
  readonly bracket: {
    readonly asks: readonly ToneAsk[];
    /** Stops of each frame from the first. */
    readonly offsets: readonly number[];
    readonly varies: Control;
  };
  readonly equivalent: { readonly asks: readonly ToneAsk[] };
  readonly recompose: { readonly metered: PlacedAsk; readonly used: PlacedAsk };
  readonly correction: {
    readonly asks: readonly [ToneAsk, ToneAsk];
    /** Stops of given exposure from the first frame to the second. */
    readonly by: number;
    readonly placement: (OpenRange & { readonly text: string }) | null;
  };
  readonly "same-rendering": { readonly asks: readonly ToneAsk[] };
  readonly "tonal-pair": { readonly asks: readonly [ToneAsk, ToneAsk] };
}

/** A kind of relation, by its key in a set file. */
export type RelationKind = keyof Relations;

/** What frames show together. */
export type ReadyRelation = {
  readonly [Kind in RelationKind]: {
    /** Unique within the set. */
    readonly id: string;
    readonly at: TextPosition;
    readonly kind: Kind;
    /** Stops; null is the default of the basis. */
    readonly tolerance: number | null;
  } & Relations[Kind];
}[RelationKind];

/** One thing that a relation says, and what was found. */
export interface RelationPart {
  readonly part: string;
  readonly finding: Finding;
}

/** All that there is to know about a kind of relation. */
interface KindOfRelation<Ready> {
  /** Its form in a set file. */
  readonly schema: z.ZodType;
  /** Its values, read; the path is that of the relation's own mapping. */
  read(typed: unknown, reader: RelationReader, path: SetPath): Ready;
  /** Each thing that it says, judged; members are in the order of its asks. */
  judge(
    relation: Ready & { readonly tolerance: number | null },
    members: readonly Member[],
  ): RelationPart[];
}

/** Joins a schema with what reads and judges it, so that the typed form is inferred from the schema. */
function kindOf<Schema extends z.ZodType, Ready>(
  schema: Schema,
  read: (typed: z.infer<Schema>, reader: RelationReader, path: SetPath) => Ready,
  judge: KindOfRelation<Ready>["judge"],
): KindOfRelation<Ready> {
  return {
    schema,
    read: (typed, reader, path) => read(typed as z.infer<Schema>, reader, path),
    judge,
  };
}

const look = {
  region: region.optional(),
  tolerance: tolerance.optional(),
  basis: pixelBasis.optional(),
};
const lookOfRegions = { tolerance: look.tolerance, basis: look.basis };
const placed = z.strictObject({
  frame,
  region: look.region,
  place,
  tolerance: look.tolerance,
});

/** Every kind of relation, in the order of their documentation. */
export const RELATION_KINDS: {
  readonly [Kind in RelationKind]: KindOfRelation<Relations[Kind]>;
} = {
  bracket: kindOf(
    z.strictObject({
      frames: z.array(frame).min(2),
      steps: z
        .union([stops, z.array(stops).min(2)])
        .describe("Stops from each frame to the next, or of each frame from the first"),
      varies: z.enum(["shutter", "aperture", "iso"]),
      ...look,
    }),
    ({ frames, steps, varies, ...typed }, reader, path) => ({
      asks: asksOfFrames(frames, typed, reader, path),
      offsets: readOffsets(steps, frames.length, reader, [...path, "steps"]),
      varies,
    }),
    ({ offsets, varies, tolerance }, members) => {
      const steps = members.slice(1).map((member, i) => ({
        from: members[0] as Member,
        to: member,
        by: offsets[i + 1] as number,
      }));
      const given = steps.map(({ from, to, by }) => judgeGiven(from, to, by));
      const parts = [
        { part: "steps", finding: worst(given) },
        { part: "control", finding: judgeControl(members, varies) },
        { part: "order", finding: judgeOrder(members, offsets) },
      ];
      // On the sensor a stop of exposure is a stop of light; a rendering's curve changes that.
      if (members.some(({ row }) => row.basis !== "scene")) return parts;
      const moves = steps.map(({ from, to, by }) => judgeMove(from, to, by, tolerance));
      return [...parts, { part: "light", finding: worst(moves) }];
    },
  ),
  equivalent: kindOf(
    z.strictObject({ frames: z.array(frame).min(2), ...look }),
    ({ frames, ...typed }, reader, path) => ({ asks: asksOfFrames(frames, typed, reader, path) }),
    ({ tolerance }, members) => [
      { part: "exposure", finding: judgeSameExposure(members) },
      { part: "settings", finding: judgeOtherSettings(members) },
      { part: "look", finding: judgeAlike(members, tolerance) },
    ],
  ),
  recompose: kindOf(
    z.strictObject({ metered: placed, used: placed, basis: look.basis }),
    ({ metered, used, basis }, reader, path) => {
      reader.requireDistinct([metered.frame, used.frame], path);
      return {
        metered: reader.placed({ ...metered, basis }, [...path, "metered"]),
        used: reader.placed({ ...used, basis }, [...path, "used"]),
      };
    },
    ({ metered, used }, members) => {
      const [first, second] = members as [Member, Member];
      return [
        { part: "settings", finding: judgeKeptSettings(members) },
        { part: "metered", finding: judgePlaced(metered, { row: first.row, failure: null }) },
        { part: "used", finding: judgePlaced(used, { row: second.row, failure: null }) },
      ];
    },
  ),
  correction: kindOf(
    z.strictObject({ from: frame, to: frame, by: stops, place: place.optional(), ...look }),
    ({ from, to, by, place: placement, ...typed }, reader, path) => {
      const moved = reader.value([...path, "by"], stopsOf, by);
      if (moved === 0) {
        reader.refuse("a correction of 0 stops corrects nothing", [...path, "by"]);
      }
      return {
        asks: asksOfFrames([from, to], typed, reader, path) as [ToneAsk, ToneAsk],
        by: moved,
        placement:
          placement === undefined
            ? null
            : reader.value([...path, "place"], parsePlacement, placement),
      };
    },
    ({ by, placement, tolerance }, members) => {
      const [from, to] = members as [Member, Member];
      const parts = [
        { part: "settings", finding: judgeGiven(from, to, by) },
        { part: "direction", finding: by > 0 ? judgeLighter(from, to) : judgeLighter(to, from) },
      ];
      if (!placement) return parts;
      return [
        ...parts,
        { part: "from", finding: judgeOff(from, placement, tolerance) },
        { part: "to", finding: judgeOn(to, placement, tolerance) },
      ];
    },
  ),
  "same-rendering": kindOf(
    z.strictObject({
      frames: z.array(z.strictObject({ frame, region: look.region })).min(2),
      ...lookOfRegions,
    }),
    ({ frames, basis }, reader, path) => {
      reader.requireDistinct(
        frames.map((named) => named.frame),
        path,
      );
      return { asks: frames.map((named) => reader.ask({ ...named, basis }, path)) };
    },
    ({ tolerance }, members) => [
      { part: "look", finding: judgeAlike(members, tolerance) },
      { part: "settings", finding: judgeOtherExposure(members) },
    ],
  ),
  "tonal-pair": kindOf(
    z.strictObject({ frame, regions: z.array(z.string()).length(2), ...lookOfRegions }),
    ({ frame: name, regions, basis }, reader, path) => {
      reader.requireDistinct(regions, path);
      const asks = regions.map((one) => reader.ask({ frame: name, region: one, basis }, path));
      return { asks: asks as [ToneAsk, ToneAsk] };
    },
    ({ tolerance }, members) => [{ part: "look", finding: judgeAlike(members, tolerance) }],
  ),
};

function asksOfFrames(
  frames: readonly string[],
  { region, basis }: Omit<TypedAsk, "frame">,
  reader: RelationReader,
  path: SetPath,
): ToneAsk[] {
  reader.requireDistinct(frames, path);
  return frames.map((name) => reader.ask({ frame: name, region, basis }, path));
}

function readOffsets(
  steps: Typed | readonly Typed[],
  frames: number,
  reader: RelationReader,
  path: SetPath,
): readonly number[] {
  if (typeof steps === "number" || typeof steps === "string") {
    return reader.value(path, (step) => equalOffsets(stopsOf(step), frames), steps);
  }
  const offsets = steps.map((offset, i) => reader.value([...path, i], stopsOf, offset));
  return reader.value(path, (own) => offsetsFromFirst(own, frames), offsets);
}
