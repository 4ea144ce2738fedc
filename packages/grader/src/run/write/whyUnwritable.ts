import { existsSync } from "node:fs";
import { dirname } from "node:path";

/** Why a file cannot be written, by the system's error, in words that complete "cannot be written". */
export function whyUnwritable(path: string, cause: unknown): string {
  const { code } = cause as NodeJS.ErrnoException;
  const folder = dirname(path);
  switch (code) {
    case "ENOENT":
      if (existsSync(folder))
        return `because nothing can be made in ${folder}; name another folder (${code})`;
      return `because there is no folder ${folder}; make it first (${code})`;
    case "ENOTDIR":
      return `because ${folder} is not a folder (${code})`;
    case "EEXIST":
      return `because a file stands at ${path}; name a folder (${code})`;
    case "EACCES":
    case "EPERM":
      return `because you may not write in ${folder}; name another folder (${code})`;
    case "EROFS":
      return `because its disk can only be read; name another folder (${code})`;
    case "ENOSPC":
    case "EDQUOT":
      return `because there is no room left; free some space (${code})`;
    default:
      return `(${code})`;
  }
}
