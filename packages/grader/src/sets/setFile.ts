import type { ExposureMode, ExposureProgramme, MeteringPattern } from "@tonefall/exif-reader";
import type { Allowance } from "../model/checkResult.ts";
import type { SimulatedPattern } from "../model/metering.ts";
import type { Basis } from "../model/result.ts";
import type { RelationKind } from "./relationKinds.ts";
import type { Typed } from "./setValues.ts";

/** A set file as it is typed: what a sample set claims of its pictures. */
export interface SetFile {
  readonly $schema?: string | undefined;
  /** The set's name, for people. */
  readonly set: string;
  /** What does not make a check fail. */
  readonly allow?: readonly Allowance[] | undefined;
  /** For claims and relations that give none of their own. */
  readonly defaults?:
    | { readonly tolerance?: Typed | undefined; readonly basis?: PixelBasis | undefined }
    | undefined;
  /** Cameras by name. */
  readonly kits?: Readonly<Record<string, SetKit>> | undefined;
  /** Frames by name. */
  readonly frames: Readonly<Record<string, TypedFrame>>;
  readonly relations?: readonly TypedRelation[] | undefined;
  /** What the frames' files were when their author looked, by the frames' names. */
  readonly pins?: Readonly<Record<string, Pin>> | undefined;
}

/** A basis that needs pixels. */
type PixelBasis = Exclude<Basis, "settings">;

/** A camera that frames were taken with. */
export interface SetKit {
  readonly make?: string | undefined;
  readonly model?: string | undefined;
  /** The firmware that the camera writes; anything else counts as an edit. */
  readonly software?: readonly string[] | undefined;
  /** Path of a kit file from the set file's folder; only claims on the scene basis are measured through it. */
  readonly measured?: string | undefined;
}

/** What a file was when its author looked. */
export interface Pin {
  /** Of the file's bytes, hexadecimal. */
  readonly sha256: string;
  /** Upright width and height, pixels: `1200x800`. */
  readonly size?: string | undefined;
  /** Exif orientation; null where none was recorded. */
  readonly orientation?: number | null | undefined;
  /** What the codes meant. */
  readonly colour?: string | undefined;
  /** The software that the file names as its writer; null where it names none. */
  readonly software?: string | null | undefined;
  /** The fields of the exposure record that its metadata held. */
  readonly recorded?: readonly string[] | undefined;
  /** Where its regions fell, by name, stops from middle grey; `rendered` for pictures, `scene` for raw. */
  readonly falls?: Readonly<Record<string, number>> | undefined;
}

/** A frame of a set. */
export interface TypedFrame {
  /** Path from the set file's folder, with forward slashes. */
  readonly file: string;
  /** Another frame, whose kit, transfer and regions this one takes over. */
  readonly like?: string | undefined;
  readonly kit?: string | undefined;
  /** What the codes mean where the file does not say, as in a brief: `linear`, or `gamma 2.2`. */
  readonly transfer?: string | undefined;
  /** For people: how the picture was made. */
  readonly made?: string | undefined;
  /** Regions by name, in a brief's text form. */
  readonly regions?: Readonly<Record<string, string>> | undefined;
  readonly claims?: readonly TypedClaim[] | undefined;
}

interface Named {
  /** A name of its own, kept over edits. */
  readonly id?: string | undefined;
  /** For people: what it teaches. */
  readonly why?: string | undefined;
}

interface Look {
  readonly region?: string | undefined;
  readonly tolerance?: Typed | undefined;
  readonly basis?: PixelBasis | undefined;
}

/** A claim on one frame: exactly one of its kinds. */
export interface TypedClaim extends Named {
  readonly falls?: (Omit<Look, "basis"> & FallsAt) | undefined;
  readonly error?: (Omit<Look, "basis"> & FallsAt & { readonly lies: Typed }) | undefined;
  readonly record?: RecordClaim | undefined;
  readonly reading?:
    | (Omit<Look, "region"> & { readonly pattern: SimulatedPattern; readonly reads: Typed })
    | undefined;
  readonly unclipped?:
    | { readonly region?: string | undefined; readonly most?: Typed | undefined }
    | undefined;
  readonly "as-shot"?: true | undefined;
}

interface FallsAt {
  readonly place: Typed;
  readonly basis?: Basis | undefined;
}

/** The settings that an exposure record is claimed to hold. */
export interface RecordClaim {
  readonly mode?: ExposureMode | Exclude<ExposureProgramme, "not-defined"> | undefined;
  readonly pattern?: Exclude<MeteringPattern, "unknown" | "other"> | undefined;
  /** f-number. */
  readonly aperture?: number | undefined;
  /** Seconds, or `1/125`. */
  readonly shutter?: Typed | undefined;
  readonly iso?: number | undefined;
  /** Stops. */
  readonly compensation?: Typed | undefined;
  /** Whether the flash fired. */
  readonly flash?: boolean | undefined;
}

/** What frames show together: exactly one of its kinds, each in the form that its schema gives. */
export type TypedRelation = Named & Readonly<Partial<Record<RelationKind, unknown>>>;
