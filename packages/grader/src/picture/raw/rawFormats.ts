import type { PictureFormat } from "@tonefall/exif-reader";

/** Formats that hold a sensor's own values. */
// biome-ignore format: a list to be read at a glance
export const RAW_FORMATS: ReadonlySet<PictureFormat> = new Set<PictureFormat>([
  "dng", "cr2", "cr3", "crw", "nef", "arw", "pef", "orf", "rw2", "raf", "mrw", "x3f",
  "iiq", "mos", "mef", "3fr", "fff", "erf", "srw", "kdc", "dcr", "raw",
]);
