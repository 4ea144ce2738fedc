/** File formats told apart by content. The last row is recognised, but its metadata is not read. */
export type PictureFormat =
  | ("jpeg" | "tiff" | "png" | "webp" | "avif" | "heic")
  | ("dng" | "cr2" | "cr3" | "nef" | "arw" | "pef" | "orf" | "rw2" | "raf" | "mrw")
  | ("exif" | "xmp")
  | ("gif" | "bmp" | "psd" | "jxl" | "jp2" | "crw" | "x3f");

/** File name extensions, in lower case with their dot, of the pictures whose metadata is read. */
export const PICTURE_EXTENSIONS: ReadonlySet<string> = new Set([
  ...[".jpg", ".jpeg", ".jpe", ".jfif", ".mpo", ".tif", ".tiff", ".png", ".webp"],
  ...[".avif", ".heic", ".heif", ".hif"],
  ...[".dng", ".gpr", ".cr2", ".cr3", ".nef", ".nrw", ".arw", ".sr2", ".pef", ".orf", ".rw2"],
  ...[".raf", ".mrw"],
]);
