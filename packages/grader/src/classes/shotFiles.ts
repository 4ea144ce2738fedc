import { extname } from "node:path";
import { RAW_EXTENSIONS } from "@tonefall/exif-reader";
import { folded } from "../model/sameName.ts";

/** Files of which each stands for one shot. */
export interface Shots<File> {
  /** In the order of the files. */
  readonly files: readonly File[];
  /** The other file of a shot that a camera saved twice. */
  readonly beside: ReadonlyMap<File, File>;
}

/** Pictures that cameras and phones save together with a JPEG of the same shot. */
const HEIF_EXTENSIONS: ReadonlySet<string> = new Set([".heic", ".heif", ".hif"]);

const JPEG_EXTENSIONS: ReadonlySet<string> = new Set([".jpg", ".jpeg"]);

/**
 * Takes two files of one folder and name as one shot where a camera or phone saves such two: raw and rendered, or HEIF and JPEG.
 * The rendered one stands for it, since that is what its photographer looked at, and of HEIF and JPEG the JPEG; the other where
 * that alone is asked for.
 *
 * @param isAskedFor - whether a task names the file
 */
export function shotsOf<File extends { readonly path: string }>(
  files: readonly File[],
  isAskedFor: (file: File) => boolean,
): Shots<File> {
  const jpegs = byStem(files.filter(hasExtension(JPEG_EXTENSIONS)));
  const rendered = byStem(files.filter((file) => !isRaw(file)));
  const beside = new Map<File, File>();
  const paired = new Set<File>();
  for (const file of files.filter((one) => isRaw(one) || isHeif(one))) {
    const other = (isRaw(file) ? rendered : jpegs).get(stemOf(file));
    if (!other || paired.has(other) || paired.has(file)) continue;
    const fileStands = isAskedFor(file) && !isAskedFor(other);
    beside.set(fileStands ? file : other, fileStands ? other : file);
    paired.add(file).add(other);
  }
  const others = new Set(beside.values());
  return { files: files.filter((file) => !others.has(file)), beside };
}

const isRaw = hasExtension(RAW_EXTENSIONS);

const isHeif = hasExtension(HEIF_EXTENSIONS);

function hasExtension(extensions: ReadonlySet<string>) {
  return ({ path }: { readonly path: string }): boolean =>
    extensions.has(extname(path).toLowerCase());
}

/** The first file of each folder and name. */
function byStem<File extends { readonly path: string }>(
  files: readonly File[],
): ReadonlyMap<string, File> {
  return new Map([...files].reverse().map((file) => [stemOf(file), file]));
}

function stemOf({ path }: { readonly path: string }): string {
  return folded(path.slice(0, path.length - extname(path).length));
}
