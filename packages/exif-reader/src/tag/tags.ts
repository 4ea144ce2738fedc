/** Where a tag stands in Exif, and the XMP properties that hold the same fact, best first. */
export interface TagPlace {
  /** `XMP_ONLY` where Exif has no such tag. */
  readonly code: number;
  /** The directory the standard puts it in. Exif tags in IFD0 (as in TIFF/EP) are found too. */
  readonly ifd: "ifd0" | "exif";
  readonly xmp: readonly string[];
}

/** No tag has this code. */
const XMP_ONLY = -1;

/** Name of a tag that holds numbers. */
export type NumberTag =
  | "ExposureTime"
  | "FNumber"
  | "ExposureProgram"
  | "PhotographicSensitivity"
  | "SensitivityType"
  | "StandardOutputSensitivity"
  | "RecommendedExposureIndex"
  | "ISOSpeed"
  | "ShutterSpeedValue"
  | "ApertureValue"
  | "BrightnessValue"
  | "ExposureBiasValue"
  | "MeteringMode"
  | "LightSource"
  | "Flash"
  | "FocalLength"
  | "SubjectArea"
  | "ColorSpace"
  | "PixelXDimension"
  | "PixelYDimension"
  | "SubjectLocation"
  | "CustomRendered"
  | "ExposureMode"
  | "FocalLengthIn35mmFilm"
  | "SceneCaptureType"
  | "GainControl"
  | "Contrast"
  | "Saturation"
  | "Sharpness"
  | "CompositeImage"
  | "ImageWidth"
  | "ImageLength"
  | "Orientation";

/** Name of a tag that holds text. */
export type TextTag =
  | "Make"
  | "Model"
  | "Software"
  | "MadeBy"
  | "DateTimeOriginal"
  | "DateTimeDigitized"
  | "OffsetTimeOriginal"
  | "OffsetTimeDigitized"
  | "SubSecTimeOriginal"
  | "SubSecTimeDigitized";

/**
 * Tags that hold numbers.
 *
 * @see [EXIF]; [XMP, the tiff, exif and exifEX schemas]
 */
export const NUMBER_TAGS: Readonly<Record<NumberTag, TagPlace>> = {
  ExposureTime: exif(0x829a, "exif:ExposureTime"),
  FNumber: exif(0x829d, "exif:FNumber"),
  ExposureProgram: exif(0x8822, "exif:ExposureProgram"),
  PhotographicSensitivity: exif(
    0x8827,
    "exifEX:PhotographicSensitivity",
    "exif:ISOSpeedRatings",
    "exif:PhotographicSensitivity",
  ),
  SensitivityType: exif(0x8830, "exifEX:SensitivityType", "exif:SensitivityType"),
  StandardOutputSensitivity: exif(0x8831, "exifEX:StandardOutputSensitivity"),
  RecommendedExposureIndex: exif(0x8832, "exifEX:RecommendedExposureIndex"),
  ISOSpeed: exif(0x8833, "exifEX:ISOSpeed"),
  ShutterSpeedValue: exif(0x9201, "exif:ShutterSpeedValue"),
  ApertureValue: exif(0x9202, "exif:ApertureValue"),
  BrightnessValue: exif(0x9203, "exif:BrightnessValue"),
  ExposureBiasValue: exif(0x9204, "exif:ExposureBiasValue"),
  MeteringMode: exif(0x9207, "exif:MeteringMode"),
  LightSource: exif(0x9208, "exif:LightSource"),
  Flash: exif(0x9209, "exif:Flash/exif:Fired", "exif:Flash"),
  FocalLength: exif(0x920a, "exif:FocalLength"),
  SubjectArea: exif(0x9214, "exif:SubjectArea"),
  ColorSpace: exif(0xa001, "exif:ColorSpace"),
  PixelXDimension: exif(0xa002, "exif:PixelXDimension"),
  PixelYDimension: exif(0xa003, "exif:PixelYDimension"),
  SubjectLocation: exif(0xa214, "exif:SubjectLocation"),
  CustomRendered: exif(0xa401, "exif:CustomRendered"),
  ExposureMode: exif(0xa402, "exif:ExposureMode"),
  FocalLengthIn35mmFilm: exif(0xa405, "exif:FocalLengthIn35mmFilm"),
  SceneCaptureType: exif(0xa406, "exif:SceneCaptureType"),
  GainControl: exif(0xa407, "exif:GainControl"),
  Contrast: exif(0xa408, "exif:Contrast"),
  Saturation: exif(0xa409, "exif:Saturation"),
  Sharpness: exif(0xa40a, "exif:Sharpness"),
  CompositeImage: exif(0xa460, "exifEX:CompositeImage"),
  ImageWidth: ifd0(0x0100, "tiff:ImageWidth"),
  ImageLength: ifd0(0x0101, "tiff:ImageLength"),
  Orientation: ifd0(0x0112, "tiff:Orientation"),
};

/** Tags that hold text. */
export const TEXT_TAGS: Readonly<Record<TextTag, TagPlace>> = {
  Make: ifd0(0x010f, "tiff:Make"),
  Model: ifd0(0x0110, "tiff:Model"),
  Software: ifd0(0x0131, "tiff:Software", "xmp:CreatorTool"),
  MadeBy: exif(XMP_ONLY, "tonefall:MadeBy"),
  DateTimeOriginal: exif(0x9003, "exif:DateTimeOriginal", "photoshop:DateCreated"),
  DateTimeDigitized: exif(0x9004, "exif:DateTimeDigitized", "xmp:CreateDate"),
  OffsetTimeOriginal: exif(0x9011, "exif:OffsetTimeOriginal"),
  OffsetTimeDigitized: exif(0x9012, "exif:OffsetTimeDigitized"),
  SubSecTimeOriginal: exif(0x9291, "exif:SubSecTimeOriginal"),
  SubSecTimeDigitized: exif(0x9292, "exif:SubSecTimeDigitized"),
};

function exif(code: number, ...xmp: string[]): TagPlace {
  return { code, ifd: "exif", xmp };
}

function ifd0(code: number, ...xmp: string[]): TagPlace {
  return { code, ifd: "ifd0", xmp };
}
