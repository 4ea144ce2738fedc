import { readdir } from "node:fs/promises";
import { dirname, join } from "node:path";
import type { NamedKit } from "./kit.ts";

/**
 * The kits of the folders named `kits` beside photographs, each read once.
 *
 * @param paths - of the photographs
 * @throws {@link GraderError} `bad-kit`
 */
export async function kitsBeside(paths: readonly string[]): Promise<readonly NamedKit[]> {
  const folders = new Set(paths.map((path) => join(dirname(path), "kits")));
  const kits: NamedKit[] = [];
  for (const folder of [...folders].sort()) {
    for (const name of await kitNames(folder)) {
      // Loaded with the first kit: most runs have none.
      const { readKitFile } = await import("./kitFile.ts");
      kits.push(await readKitFile(join(folder, name)));
    }
  }
  return kits;
}

async function kitNames(folder: string): Promise<readonly string[]> {
  try {
    const entries = await readdir(folder, { withFileTypes: true });
    return entries
      .filter((entry) => entry.isFile() || entry.isSymbolicLink())
      .map(({ name }) => name)
      .filter((name) => /\.ya?ml$/i.test(name) && !name.startsWith("."))
      .sort();
  } catch {
    // A folder without kits is what most folders are.
    return [];
  }
}
