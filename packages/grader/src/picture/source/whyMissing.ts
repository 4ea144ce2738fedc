import { readlinkSync } from "node:fs";

/** Why there is nothing at a path, and what to do about it, in one sentence. */
export function whyMissing(path: string): string {
  if (isLink(path)) return "The link leads to a file that is not there; mend or remove the link";
  if (path.startsWith("~/")) {
    return "The shell left the ~ as it is, so this is no path; leave it out of the quotes";
  }
  if (/[*?]/.test(path)) {
    return "No file here matches this pattern; check the folder, the extension and its capitals";
  }
  return "There is no such file or folder; check the path";
}

function isLink(path: string): boolean {
  try {
    readlinkSync(path);
    return true;
  } catch {
    return false;
  }
}
