import { extname } from "node:path";
import { RAW_EXTENSIONS } from "@tonefall/exif-reader";
import { folded } from "../model/sameName.ts";

/** Files of which each stands for one shot. */
export interface Shots<File> {
  /** In the order of the files. */
  readonly files: readonly File[];
  /** The other file of a shot that a camera saved twice, raw and rendered. */
  readonly beside: ReadonlyMap<File, File>;
}

/**
 * Takes a raw and a rendered file of one folder and name as one shot. The rendered one stands for it, since that is what its
 * photographer looked at; the raw one where that alone is asked for.
 *
 * @param isAskedFor - whether a task names the file
 */
export function shotsOf<File extends { readonly path: string }>(
  files: readonly File[],
  isAskedFor: (file: File) => boolean,
): Shots<File> {
  const isRaw = ({ path }: File): boolean => RAW_EXTENSIONS.has(extname(path).toLowerCase());
  const rendered = new Map<string, File>();
  for (const file of files.filter((one) => !isRaw(one))) {
    if (!rendered.has(stemOf(file))) rendered.set(stemOf(file), file);
  }
  const beside = new Map<File, File>();
  for (const raw of files.filter(isRaw)) {
    const other = rendered.get(stemOf(raw));
    if (!other || beside.has(other)) continue;
    const rawStands = isAskedFor(raw) && !isAskedFor(other);
    beside.set(rawStands ? raw : other, rawStands ? other : raw);
  }
  const others = new Set(beside.values());
  return { files: files.filter((file) => !others.has(file)), beside };
}

function stemOf({ path }: { readonly path: string }): string {
  return folded(path.slice(0, path.length - extname(path).length));
}
