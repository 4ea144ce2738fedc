// A script as one would write it: reads the first 64 KB of every file of a folder, some at once.
// `node bareReadScript.mjs 8 folder`.
import { readdirSync } from "node:fs";
import { open } from "node:fs/promises";
import { join } from "node:path";

const HEAD_BYTES = 64 * 1024;

const [jobs, folder = "."] = process.argv.slice(2);
const queue = readdirSync(folder).map((name) => join(folder, name));
const work = async () => {
  for (let path = queue.shift(); path !== undefined; path = queue.shift()) {
    const file = await open(path);
    await file.read(Buffer.allocUnsafe(HEAD_BYTES), 0, HEAD_BYTES, 0);
    await file.close();
  }
};
await Promise.all(Array.from({ length: Number(jobs) }, work));
