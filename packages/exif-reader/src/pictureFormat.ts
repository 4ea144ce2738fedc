/**
 * File formats, recognised by content. `raw` is any other TIFF that holds sensor values. Formats of the last row are
 * recognised, but their metadata is not read.
 */
export type PictureFormat =
  | ("jpeg" | "tiff" | "png" | "webp" | "avif" | "heic")
  | ("dng" | "cr2" | "cr3" | "nef" | "arw" | "pef" | "orf" | "rw2" | "raf" | "mrw")
  | ("iiq" | "mos" | "mef" | "3fr" | "fff" | "erf" | "srw" | "kdc" | "dcr" | "raw")
  | ("exif" | "xmp")
  | ("gif" | "bmp" | "psd" | "jxl" | "jp2" | "crw" | "x3f");

/** File name extensions of raw files, in lower case with their dot. */
export const RAW_EXTENSIONS: ReadonlySet<string> = new Set([
  ...[".dng", ".gpr", ".cr2", ".cr3", ".crw", ".nef", ".nrw", ".arw", ".srf", ".sr2", ".pef"],
  ...[".orf", ".rw2", ".rwl", ".raf", ".mrw", ".x3f", ".iiq", ".mos", ".mef", ".3fr", ".fff"],
  ...[".erf", ".srw", ".kdc", ".dcr", ".raw"],
]);

/** File name extensions of pictures, in lower case with their dot: the files that a folder is searched for. */
export const PICTURE_EXTENSIONS: ReadonlySet<string> = new Set([
  ...[".jpg", ".jpeg", ".jpe", ".jfif", ".mpo", ".tif", ".tiff", ".png", ".webp"],
  ...[".avif", ".heic", ".heif", ".hif"],
  ...RAW_EXTENSIONS,
]);
