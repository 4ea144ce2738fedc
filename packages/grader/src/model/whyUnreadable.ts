/** Why a file cannot be read, by the system's error. */
export function whyUnreadable({ code }: NodeJS.ErrnoException): string {
  if (code === "ENOENT") return "there is no such file";
  if (code === "EACCES" || code === "EPERM") return "you may not read it";
  return code === "EISDIR" ? "it is a folder; name its files" : `it cannot be read (${code})`;
}
