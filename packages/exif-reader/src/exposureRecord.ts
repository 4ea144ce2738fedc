import type { FieldAbsence } from "./fieldAbsence.ts";
import type { PictureFormat } from "./pictureFormat.ts";

/** A fact with its origin. */
export interface KnownField<T> {
  readonly value: T;
  /** The tag, such as `"Exif FNumber"`, `"XMP exif:FNumber"` or `"sidecar XMP exif:FNumber"`. */
  readonly from: string;
  /** What the file recorded, as text, where that says more than the value: an unlisted code, an APEX value. */
  readonly found?: string;
}

/** A missing fact with its reason. */
export interface MissingField {
  readonly value: null;
  readonly reason: FieldAbsence;
  /** What the file recorded, as text, where it recorded something. */
  readonly found?: string;
}

/** One fact about the exposure: a value and where it came from, or null and why. */
export type Field<T> = KnownField<T> | MissingField;

/** How the camera weighted the frame when it metered; `unknown` when the file itself says so. */
export type MeteringPattern =
  | "unknown"
  | "average"
  | "centre-weighted"
  | "spot"
  | "multi-spot"
  | "multi-segment"
  | "partial"
  | "other";

/** The exposure programme; `bulb` is a code cameras write although no standard lists it. */
export type ExposureProgramme =
  | "not-defined"
  | "manual"
  | "programme"
  | "aperture-priority"
  | "shutter-priority"
  | "creative"
  | "action"
  | "portrait"
  | "landscape"
  | "bulb";

/** Who set the exposure. */
export type ExposureMode = "auto" | "manual" | "auto-bracket";

/** Which of the ISO 12232 speeds the recorded sensitivity is. */
export type SensitivityType =
  | "unknown"
  | "sos"
  | "rei"
  | "iso-speed"
  | "sos-and-rei"
  | "sos-and-iso-speed"
  | "rei-and-iso-speed"
  | "sos-and-rei-and-iso-speed";

/** Gain the camera applied. */
export type GainControl =
  | "none"
  | "low-gain-up"
  | "high-gain-up"
  | "low-gain-down"
  | "high-gain-down";

/** Contrast processing chosen in the camera. */
export type Contrast = "normal" | "soft" | "hard";

/** Special processing; `other` for the codes that phones write and no standard lists. */
export type CustomRendered = "normal" | "custom" | "other";

/** Whether several captures were merged into this picture. */
export type CompositeImage = "unknown" | "no" | "general" | "captured";

/** Colour space; `uncalibrated` means that the embedded profile decides. */
export type ColourSpace = "srgb" | "adobe-rgb" | "uncalibrated" | "other";

/** The light the white balance was set for. */
export type LightSource =
  | "unknown"
  | "daylight"
  | "fluorescent"
  | "tungsten"
  | "flash"
  | "fine-weather"
  | "cloudy"
  | "shade"
  | "daylight-fluorescent"
  | "day-white-fluorescent"
  | "cool-white-fluorescent"
  | "white-fluorescent"
  | "warm-white-fluorescent"
  | "standard-a"
  | "standard-b"
  | "standard-c"
  | "d55"
  | "d65"
  | "d75"
  | "d50"
  | "studio-tungsten"
  | "other";

/** The main subject, in pixels of the stored picture before Orientation is applied; `x`, `y` is its centre. */
export type SubjectArea =
  | { readonly shape: "point"; readonly x: number; readonly y: number }
  | {
      readonly shape: "circle";
      readonly x: number;
      readonly y: number;
      readonly diameter: number;
    }
  | {
      readonly shape: "rectangle";
      readonly x: number;
      readonly y: number;
      readonly width: number;
      readonly height: number;
    };

/** Column and row of the subject's centre, in pixels of the stored picture before Orientation is applied. */
export interface SubjectLocation {
  readonly x: number;
  readonly y: number;
}

/** The facts of an exposure, each with its origin or the reason it is missing. */
export interface ExposureFields {
  /** f-number N, in 0.3..512. */
  readonly aperture: Field<number>;
  /** Exposure time in seconds, in 1e-7..1e6. */
  readonly shutter: Field<number>;
  /** ISO sensitivity, in 0.1..1e8. */
  readonly iso: Field<number>;
  /** Compensation the camera was told to add, in stops, in -15..15; + is brighter. */
  readonly compensation: Field<number>;
  readonly programme: Field<ExposureProgramme>;
  readonly mode: Field<ExposureMode>;
  /** The pattern does not say where in the frame a spot was. */
  readonly meteringPattern: Field<MeteringPattern>;
  /** APEX brightness value Bv, in stops, in -30..30. */
  readonly brightnessValue: Field<number>;
  readonly subjectArea: Field<SubjectArea>;
  readonly subjectLocation: Field<SubjectLocation>;
  readonly flashFired: Field<boolean>;
  /** Focal length in millimetres. */
  readonly focalLength: Field<number>;
  /** Focal length that gives the same angle of view on 35 mm film, in millimetres. */
  readonly focalLength35mm: Field<number>;
  /** Exif orientation 1..8. Where the note `container-rotates` stands, the container's own transform rules. */
  readonly orientation: Field<number>;
  readonly colourSpace: Field<ColourSpace>;
  readonly contrast: Field<Contrast>;
  readonly customRendered: Field<CustomRendered>;
  readonly composite: Field<CompositeImage>;
  readonly sensitivityType: Field<SensitivityType>;
  readonly gainControl: Field<GainControl>;
  readonly lightSource: Field<LightSource>;
  readonly make: Field<string>;
  readonly model: Field<string>;
  /** Local time of capture, `2024-05-31T18:04:09.25+02:00`; fraction and offset only where the file has them. */
  readonly capturedAt: Field<string>;
  readonly software: Field<string>;
  /** Width that the metadata states, in pixels; subject areas refer to it. */
  readonly pixelWidth: Field<number>;
  /** Height that the metadata states, in pixels. */
  readonly pixelHeight: Field<number>;
  /** Whether the file holds a position. The position itself never leaves this package. */
  readonly locationPresent: Field<boolean>;
}

/** Something a reader of the record should know; the record stands. */
export interface ExifNote {
  readonly code: ExifNoteCode;
  /** One plain sentence. */
  readonly message: string;
}

/** Stable codes of the notes that come with a record. */
export type ExifNoteCode =
  | "no-metadata"
  | "metadata-not-read"
  | "container-malformed"
  | "container-rotates"
  | "exif-malformed"
  | "xmp-malformed"
  | "xmp-too-large"
  | "sidecar-unreadable"
  | "value-from-xmp-instead";

/** What one file says about its exposure. */
export interface ExposureRecord extends ExposureFields {
  /** Told by content, never by the file's name. */
  readonly format: PictureFormat;
  readonly notes: readonly ExifNote[];
}
