import { existsSync } from "node:fs";
import { mkdir } from "node:fs/promises";
import { dirname } from "node:path";

/**
 * Makes a folder and those above it that are missing, from the top down.
 *
 * Node's own way to make several never ends where a system answers "no such folder" though the folder above stands, as
 * `/proc` and automounted folders do.
 *
 * @param mode - of the folders that are made
 * @throws the file system's error, also where a file stands in the way
 */
export async function makeFolders(folder: string, mode?: number): Promise<void> {
  for (const one of missingOf(folder)) await mkdir(one, { mode }).catch(unlessThere);
  // What stands there may be a file.
  await mkdir(folder, { recursive: true });
}

/** The folder and those above it that are missing, the highest first, by their names as given. */
function missingOf(folder: string): string[] {
  if (existsSync(folder)) return [];
  const above = dirname(folder);
  return above === folder ? [folder] : [...missingOf(above), folder];
}

/** Another process may have made it meanwhile. */
function unlessThere(error: NodeJS.ErrnoException): void {
  if (error.code !== "EEXIST") throw error;
}
