import type { FieldAbsence } from "./fieldAbsence.ts";
import type { PictureFormat } from "./pictureFormat.ts";

/** A fact and its origin. */
export interface KnownField<T> {
  /** The fact itself. */
  readonly value: T;
  /** The tag, such as `"Exif FNumber"`, `"XMP exif:FNumber"` or `"sidecar XMP exif:FNumber"`. */
  readonly from: string;
  /** What the file recorded, as text, where that says more than the value: an unlisted code, an APEX value. */
  readonly found?: string;
}

/** A missing fact and the reason. */
export interface MissingField {
  /** Always null. */
  readonly value: null;
  /** Stable reason; `REASONS` holds a sentence for each. */
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

/** Saturation chosen in the camera. */
export type Saturation = "normal" | "low" | "high";

/** Sharpening chosen in the camera. */
export type Sharpness = "normal" | "soft" | "hard";

/** The kind of scene that the camera rendered for: the nearest that the standard has to a picture mode. */
export type SceneType = "standard" | "landscape" | "portrait" | "night";

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

/** A place in the stored picture, before Orientation is applied. */
export interface SubjectLocation {
  /** Column of the centre, in pixels from the left. */
  readonly x: number;
  /** Row of the centre, in pixels from the top. */
  readonly y: number;
}

/** The main subject as a point. */
export interface SubjectPoint extends SubjectLocation {
  /** Which shape it is. */
  readonly shape: "point";
}

/** The main subject as a circle about its centre. */
export interface SubjectCircle extends SubjectLocation {
  /** Which shape it is. */
  readonly shape: "circle";
  /** Diameter in pixels. */
  readonly diameter: number;
}

/** The main subject as a rectangle about its centre. */
export interface SubjectRectangle extends SubjectLocation {
  /** Which shape it is. */
  readonly shape: "rectangle";
  /** Full width in pixels. */
  readonly width: number;
  /** Full height in pixels. */
  readonly height: number;
}

/** The main subject, in pixels of the stored picture before Orientation is applied. */
export type SubjectArea = SubjectPoint | SubjectCircle | SubjectRectangle;

/** A place in a picture: fractions of its width and height, or pixels, from its top left corner. */
export interface RegionPoint {
  /** From the left. */
  readonly x: number;
  /** From the top. */
  readonly y: number;
}

/** A region's outline, in one form for all standards. */
export type RegionBoundary =
  /** `x` and `y` are the top left corner. */
  | (RegionPoint & {
      /** Which kind of boundary it is. */
      readonly shape: "rectangle";
      /** In the region's {@link ImageRegion.unit}. */
      readonly width: number;
      /** In the region's {@link ImageRegion.unit}. */
      readonly height: number;
    })
  /** `x` and `y` are the centre; a relative radius is a share of {@link ImageRegion.radiusOf}. */
  | (RegionPoint & {
      /** Which kind of boundary it is. */
      readonly shape: "circle";
      /** In the region's {@link ImageRegion.unit}. */
      readonly radius: number;
    })
  | {
      /** Which kind of boundary it is. */
      readonly shape: "polygon";
      /** Corners in order. */
      readonly points: readonly RegionPoint[];
    }
  | (RegionPoint & {
      /** Which kind of boundary it is. */
      readonly shape: "point";
    })
  /** Recorded in a way that its standard does not allow. */
  | {
      /** Which kind of boundary it is. */
      readonly shape: "unusable";
      /** What is wrong with it. */
      readonly reason: FieldAbsence;
    };

/** A region that somebody marked in the stored picture, before Orientation is applied. Regions of people are not read. */
export interface ImageRegion {
  /** Which standard it follows: the IPTC's, or the Metadata Working Group's. */
  readonly standard: "iptc" | "mwg";
  /** Its name, else its identifier; null where it has none, or one that may be a person's. */
  readonly name: string | null;
  /** Whether the boundary is in fractions of the stored picture's width and height, or in pixels. */
  readonly unit: "relative" | "pixel";
  /** The side that a circle's relative radius is a share of. */
  readonly radiusOf: "width" | "smaller-side";
  /** Size in pixels of the stored picture it was marked in; null where that is not recorded. */
  readonly appliedTo: {
    /** Of the stored picture, pixels. */
    readonly width: number;
    /** Of the stored picture, pixels. */
    readonly height: number;
  } | null;
  /** Where it is. */
  readonly boundary: RegionBoundary;
}

/** The facts of an exposure, each with its origin or the reason why it is missing. */
export interface ExposureFields {
  /** f-number N, in 0.3..512. */
  readonly aperture: Field<number>;
  /** Exposure time in seconds, in 1e-7..1e6. */
  readonly shutter: Field<number>;
  /** ISO sensitivity, in 0.1..1e8. */
  readonly iso: Field<number>;
  /** Exposure compensation set on the camera, in stops, in -15..15; + is brighter. */
  readonly compensation: Field<number>;
  /** Exposure programme. */
  readonly programme: Field<ExposureProgramme>;
  /** Who set the exposure; compensation takes effect in automatic modes. */
  readonly mode: Field<ExposureMode>;
  /** The pattern does not say where in the frame a spot was. */
  readonly meteringPattern: Field<MeteringPattern>;
  /** APEX brightness value Bv, in stops, in -30..30. */
  readonly brightnessValue: Field<number>;
  /** The main subject. */
  readonly subjectArea: Field<SubjectArea>;
  /** The centre of the main subject. */
  readonly subjectLocation: Field<SubjectLocation>;
  /** Whether the flash fired. */
  readonly flashFired: Field<boolean>;
  /** Focal length in millimetres. */
  readonly focalLength: Field<number>;
  /** Focal length that gives the same angle of view on 35 mm film, in millimetres. */
  readonly focalLength35mm: Field<number>;
  /** Exif orientation 1..8. With the note `container-rotates`, the container's own transform takes precedence. */
  readonly orientation: Field<number>;
  /** Colour space that the metadata names. */
  readonly colourSpace: Field<ColourSpace>;
  /** Contrast processing; unless it is `normal`, tones are indicative only. */
  readonly contrast: Field<Contrast>;
  /** Saturation chosen in the camera: part of its style. */
  readonly saturation: Field<Saturation>;
  /** Sharpening chosen in the camera: part of its style. */
  readonly sharpness: Field<Sharpness>;
  /** The kind of scene that the camera rendered for: part of its style. */
  readonly sceneType: Field<SceneType>;
  /** Special processing; unless it is `normal`, settings do not predict tones. */
  readonly customRendered: Field<CustomRendered>;
  /** Whether several captures were merged, in which case there is no single exposure. */
  readonly composite: Field<CompositeImage>;
  /** Which of the ISO 12232 speeds the sensitivity is. */
  readonly sensitivityType: Field<SensitivityType>;
  /** Gain the camera applied. */
  readonly gainControl: Field<GainControl>;
  /** The light that the white balance was set for. */
  readonly lightSource: Field<LightSource>;
  /** Maker of the camera. */
  readonly make: Field<string>;
  /** Model of the camera. */
  readonly model: Field<string>;
  /** Local time of capture, `2024-05-31T18:04:09.25+02:00`; fraction and offset only where the file has them. */
  readonly capturedAt: Field<string>;
  /** Firmware or program that wrote the file; of a frame that was made from a capture, what made it, whoever wrote it since. */
  readonly software: Field<string>;
  /** Width that the metadata states, in pixels; subject areas refer to it. */
  readonly pixelWidth: Field<number>;
  /** Height that the metadata states, in pixels. */
  readonly pixelHeight: Field<number>;
  /** Whether the file holds a position. The position itself never leaves this package. */
  readonly locationPresent: Field<boolean>;
  /** The keywords that begin with `tonefall:`, as written; no other keyword is ever returned. */
  readonly keywords: Field<readonly string[]>;
  /** Regions marked in the picture, except those of people. */
  readonly regions: Field<readonly ImageRegion[]>;
}

/** Something worth knowing about a record, which remains valid. */
export interface ExifNote {
  /** Stable code; branch on this, never on the message. */
  readonly code: ExifNoteCode;
  /** One plain sentence. */
  readonly message: string;
}

/** Stable codes of the notes that come with a record. */
export type ExifNoteCode =
  | "no-metadata"
  | "metadata-not-read"
  | "container-malformed"
  | "chunk-damaged"
  | "container-rotates"
  | "exif-malformed"
  | "xmp-malformed"
  | "xmp-too-large"
  | "sidecar-unreadable"
  | "value-from-xmp-instead";

/** What one file says about its exposure. */
export interface ExposureRecord extends ExposureFields {
  /** Judged by content, never by the file's name. */
  readonly format: PictureFormat;
  /** Anything else worth knowing; empty for most files. */
  readonly notes: readonly ExifNote[];
}
