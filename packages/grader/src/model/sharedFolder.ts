/** The folder that all names begin with, its slash included; empty where there is none, or one frame alone. */
export function sharedFolder(files: readonly string[]): string {
  const [first = "", ...rest] = files;
  if (rest.length === 0) return "";
  let folder = first.slice(0, first.lastIndexOf("/") + 1);
  while (folder !== "" && !rest.every((file) => file.startsWith(folder))) {
    folder = folder.slice(0, folder.slice(0, -1).lastIndexOf("/") + 1);
  }
  return folder;
}
