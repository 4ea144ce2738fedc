import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { basename, dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { SCHEMA_VERSION } from "../../model/result.ts";
import { version } from "../version.ts";

/** `src` when Tonefall runs from its sources, `dist` when it runs from the build. */
const RUNNING: string = basename(dirname(dirname(import.meta.dirname)));

const PACKAGES = ["@tonefall/tone-core", "@tonefall/exif-reader"];

/** Hexadecimal digits of the digest that a version carries. */
const DIGITS = 16;

let known: string | undefined;

/**
 * The Tonefall that graded a row: its version, that of the shape of rows, and a digest of its code and of the versions of
 * all that it depends on, such as `0.1.0+1.3f2a…`. Runs of the same version give the same row for the same
 * file, so a run may use another's rows, even while the sources change.
 */
export function buildVersion(): string {
  known ??= `${version()}+${SCHEMA_VERSION}.${codeDigest().slice(0, DIGITS)}`;
  return known;
}

function codeDigest(): string {
  const require = createRequire(import.meta.url);
  const others = PACKAGES.map((name) => dirname(require.resolve(`${name}/package.json`)));
  const hash = createHash("sha256");
  for (const home of [fileURLToPath(new URL("../../..", import.meta.url)), ...others]) {
    // The package file pins the versions of the decoders.
    for (const path of ["package.json", ...codeBelow(home)]) {
      const content = readFileSync(join(home, path));
      hash.update(`${path.replaceAll("\\", "/")}\n${content.length}\n`).update(content);
    }
  }
  return hash.digest("hex");
}

/** The files of a package that run; workers run from their sources even in the build. */
function codeBelow(home: string): string[] {
  const below = (folder: string, names: RegExp): string[] =>
    readdirSync(join(home, folder), { recursive: true, encoding: "utf8" })
      .filter((name) => names.test(name) && !/\.(?:d|test)\.ts$/.test(name))
      .map((name) => join(folder, name));
  const code = below(RUNNING, /\.(?:m?js|ts)$/);
  return (RUNNING === "src" ? code : [...code, ...below("src", /\.mjs$/)]).sort();
}
