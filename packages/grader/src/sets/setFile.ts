import type { ExposureMode, ExposureProgramme, MeteringPattern } from "@tonefall/exif-reader";
import type { Allowance } from "../model/checkResult.ts";
import type { SimulatedPattern } from "../model/metering.ts";
import type { Basis } from "../model/result.ts";

/** A set file as it is typed: what a sample set claims of its pictures. */
export interface SetFile {
  readonly $schema?: string | undefined;
  /** The set's name, for people. */
  readonly set: string;
  /** What is not to count as missed. */
  readonly allow?: readonly Allowance[] | undefined;
  /** For claims and relations that do not say. */
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

/** Stops, a placement or a share: a number, or a text that is read later. */
export type Typed = number | string;

/** A basis that needs pixels. */
type PixelBasis = Exclude<Basis, "settings">;

/** A camera that frames were taken with. */
export interface SetKit {
  readonly make?: string | undefined;
  readonly model?: string | undefined;
  /** Firmware that the camera writes; anything else is an edit. */
  readonly software?: readonly string[] | undefined;
  /** Kit file, a path from the set file's folder: claims on the scene basis are measured through it, and no others. */
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
  /** What wrote the file, by its own word; null where it said nothing. */
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
  /** A frame whose kit and regions hold here too. */
  readonly like?: string | undefined;
  readonly kit?: string | undefined;
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

/** What an exposure record is claimed to hold. */
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

/** A control of the exposure. */
export type Control = "shutter" | "aperture" | "iso";

interface PlacedFrame extends Omit<Look, "basis"> {
  readonly frame: string;
  readonly place: Typed;
}

/** What frames show together: exactly one of its kinds. */
export interface TypedRelation extends Named {
  readonly bracket?:
    | (Look & {
        readonly frames: readonly string[];
        readonly steps: Typed | readonly Typed[];
        readonly varies: Control;
      })
    | undefined;
  readonly equivalent?: (Look & { readonly frames: readonly string[] }) | undefined;
  readonly recompose?:
    | {
        readonly metered: PlacedFrame;
        readonly used: PlacedFrame;
        readonly basis?: PixelBasis | undefined;
      }
    | undefined;
  readonly correction?:
    | (Look & {
        readonly from: string;
        readonly to: string;
        readonly by: Typed;
        readonly place?: Typed | undefined;
      })
    | undefined;
  readonly "same-rendering"?:
    | (Omit<Look, "region"> & {
        readonly frames: readonly {
          readonly frame: string;
          readonly region?: string | undefined;
        }[];
      })
    | undefined;
  readonly "tonal-pair"?:
    | (Omit<Look, "region"> & { readonly frame: string; readonly regions: readonly string[] })
    | undefined;
}
