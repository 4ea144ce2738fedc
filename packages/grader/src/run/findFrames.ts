import { readdir, stat } from "node:fs/promises";
import { extname, join } from "node:path";
import { PICTURE_EXTENSIONS } from "@tonefall/exif-reader";
import { naturalOrder } from "../model/naturalOrder.ts";
import { requireSeveral } from "../model/requireSeveral.ts";

/** A file to grade, and where it was found. */
export interface FoundFrame {
  /** As given, or from the folder given onwards. */
  readonly path: string;
  /** The folder it was found in, as given; null where the file was named itself. */
  readonly root: string | null;
}

/** The frames that paths stand for, and what the search passed. */
export interface FoundFrames {
  /** In the order of the paths, each file once. */
  readonly frames: readonly FoundFrame[];
  /** Folders given that hold no picture. */
  readonly emptyFolders: readonly string[];
  /** Folders that could not be read. */
  readonly unreadableFolders: readonly {
    /** The folder given, or one within it. */
    readonly path: string;
    /** The system's code, such as `EACCES`; `unknown` where it gives none. */
    readonly reason: string;
  }[];
  /**
   * How many files in folders were ignored because Tonefall cannot open them, by extension in lower case; an empty one
   * stands for none. Sidecars, results, briefs, sets and kits do not count.
   */
  readonly leftAlone: ReadonlyMap<string, number>;
}

/** Extensions of files that belong beside pictures, or that Tonefall writes. */
// biome-ignore format: a list to be read at a glance
const AT_HOME: ReadonlySet<string> = new Set([
  ".xmp", ".yaml", ".yml", ".json", ".ndjson", ".csv", ".md", ".html", ".journal",
]);

/**
 * The picture files that paths stand for: files as they are, folders with all that they contain.
 *
 * Files keep the order in which they are given; within a folder the order is natural (IMG_9 before IMG_10), folder by
 * folder. In a folder only names with a picture's extension count; hidden files and linked folders are ignored.
 * A file reached twice is taken once. Names that are not UTF-8 are kept as far as they can be spelled: such a file
 * cannot be opened by its spelling and becomes a row that says so.
 *
 * @param paths - files and folders; what does not exist is kept, so that it becomes a row of its own
 * @throws {@link GraderError} `bad-option` for one path where a list of them is expected
 */
export async function findFrames(paths: readonly string[]): Promise<FoundFrames> {
  requireSeveral(paths, "findFrames");
  const frames: FoundFrame[] = [];
  const taken = new Set<string>();
  const emptyFolders: string[] = [];
  const unreadableFolders: { path: string; reason: string }[] = [];
  const others = new Set<string>();
  for (const path of paths) {
    if (!(await isFolder(path))) {
      if (!taken.has(path)) frames.push({ path, root: null });
      taken.add(path);
      continue;
    }
    const found: string[] = [];
    const unreadableBefore = unreadableFolders.length;
    await search(path, found, unreadableFolders, others);
    for (const file of found.filter((file) => !taken.has(file))) {
      taken.add(file);
      frames.push({ path: file, root: path });
    }
    if (found.length === 0 && unreadableFolders.length === unreadableBefore)
      emptyFolders.push(path);
  }
  return { frames, emptyFolders, unreadableFolders, leftAlone: byExtension(others) };
}

function byExtension(files: Iterable<string>): ReadonlyMap<string, number> {
  const counts = new Map<string, number>();
  for (const file of files) {
    const extension = extname(file).toLowerCase();
    if (!AT_HOME.has(extension)) counts.set(extension, (counts.get(extension) ?? 0) + 1);
  }
  return counts;
}

async function search(
  folder: string,
  found: string[],
  unreadable: { path: string; reason: string }[],
  others: Set<string>,
): Promise<void> {
  let entries: Awaited<ReturnType<typeof list>>;
  try {
    entries = await list(folder);
  } catch (error) {
    unreadable.push({ path: folder, reason: (error as NodeJS.ErrnoException).code ?? "unknown" });
    return;
  }
  const visible = entries.filter(({ name }) => !name.startsWith("."));
  visible.sort((a, b) => naturalOrder(a.name, b.name));
  for (const entry of visible) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) await search(path, found, unreadable, others);
    else if (PICTURE_EXTENSIONS.has(extname(entry.name).toLowerCase())) found.push(path);
    else if (entry.isFile()) others.add(path);
  }
}

function list(folder: string): Promise<import("node:fs").Dirent[]> {
  return readdir(folder, { withFileTypes: true });
}

/** Whether a path is that of a folder; not where there is nothing. */
export async function isFolder(path: string): Promise<boolean> {
  try {
    return (await stat(path)).isDirectory();
  } catch {
    return false;
  }
}
