import { readdir, stat } from "node:fs/promises";
import { extname, join } from "node:path";
import { PICTURE_EXTENSIONS } from "@tonefall/exif-reader";

/** A file to grade, and the folder it was found in (null where it was named itself). */
export interface FoundFrame {
  readonly path: string;
  readonly root: string | null;
}

/** The frames that paths stand for, and what was met on the way. */
export interface FoundFrames {
  readonly frames: readonly FoundFrame[];
  /** Folders given that hold no picture. */
  readonly emptyFolders: readonly string[];
  /** Folders that could not be read, with the system's reason. */
  readonly unreadableFolders: readonly { readonly path: string; readonly reason: string }[];
}

/**
 * The picture files that paths stand for: files as they are, folders searched through and through.
 *
 * Files keep the order in which they are given; within a folder the order is natural (IMG_9 before IMG_10), folder by
 * folder. In a folder only names with a picture's extension are taken; hidden files and linked folders are passed over.
 * A file reached twice is taken once.
 *
 * @param paths - files and folders; what does not exist is kept, so that it becomes a row of its own
 */
export async function findFrames(paths: readonly string[]): Promise<FoundFrames> {
  const frames = new Map<string, FoundFrame>();
  const emptyFolders: string[] = [];
  const unreadableFolders: { path: string; reason: string }[] = [];
  for (const path of paths) {
    if (!(await isFolder(path))) {
      if (!frames.has(path)) frames.set(path, { path, root: null });
      continue;
    }
    const before = frames.size + unreadableFolders.length;
    for (const found of await search(path, unreadableFolders)) {
      if (!frames.has(found)) frames.set(found, { path: found, root: path });
    }
    if (frames.size + unreadableFolders.length === before) emptyFolders.push(path);
  }
  return { frames: [...frames.values()], emptyFolders, unreadableFolders };
}

const naturally = new Intl.Collator("en", { numeric: true });

async function search(
  folder: string,
  unreadable: { path: string; reason: string }[],
): Promise<string[]> {
  let entries: Awaited<ReturnType<typeof list>>;
  try {
    entries = await list(folder);
  } catch (error) {
    unreadable.push({ path: folder, reason: (error as NodeJS.ErrnoException).code ?? "unknown" });
    return [];
  }
  const visible = entries.filter(({ name }) => !name.startsWith("."));
  // The collator finds some different names equal; their code points then keep the order the same everywhere.
  visible.sort((a, b) => naturally.compare(a.name, b.name) || (a.name < b.name ? -1 : 1));
  const found: string[] = [];
  for (const entry of visible) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) found.push(...(await search(path, unreadable)));
    else if (PICTURE_EXTENSIONS.has(extname(entry.name).toLowerCase())) found.push(path);
  }
  return found;
}

function list(folder: string): Promise<import("node:fs").Dirent[]> {
  return readdir(folder, { withFileTypes: true });
}

async function isFolder(path: string): Promise<boolean> {
  try {
    return (await stat(path)).isDirectory();
  } catch {
    return false;
  }
}
