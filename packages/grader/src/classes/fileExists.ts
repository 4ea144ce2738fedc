import { access } from "node:fs/promises";

/** Whether there is something at a path. */
export async function fileExists(path: string): Promise<boolean> {
  try {
    await access(path);
    return true;
  } catch {
    return false;
  }
}
