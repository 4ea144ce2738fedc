import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { SCHEMA_VERSION } from "../../model/result.ts";
import { BUNDLE, PACKAGE_HOME, RUNS_FROM } from "../../picture/packageHome.ts";
import { version } from "../version.ts";

const PACKAGES = ["@tonefall/tone-core", "@tonefall/exif-reader"];

/** Where the build leaves {@link codeDigest} for the bundle: reading every file again would take as long as a frame. */
const BUILT_DIGEST: URL = new URL(`${BUNDLE}/digest.txt`, PACKAGE_HOME);

/** Hexadecimal digits of the digest that a version carries. */
const DIGITS = 16;

let known: string | undefined;

/**
 * The Tonefall that graded a row: its version, that of the shape of rows, and a digest of its code and of the versions of
 * all that it depends on, such as `0.1.0+1.3f2a…`. Runs of the same version give the same row for the same
 * file, so a run may use another's rows, even while the sources change.
 */
export function buildVersion(): string {
  known ??= `${version()}+${SCHEMA_VERSION}.${runningDigest().slice(0, DIGITS)}`;
  return known;
}

function runningDigest(): string {
  return RUNS_FROM === "bundle" ? readFileSync(BUILT_DIGEST, "utf8") : codeDigest();
}

/**
 * A digest of the code that runs: of the sources, or of all that was built, the bundle included.
 *
 * @public the build keeps it beside the bundle
 */
export function codeDigest(): string {
  const require = createRequire(import.meta.url);
  const others = PACKAGES.map((name) => dirname(require.resolve(`${name}/package.json`)));
  const hash = createHash("sha256");
  for (const home of [fileURLToPath(PACKAGE_HOME), ...others]) {
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
  if (RUNS_FROM === "sources") return below("src", /\.(?:m?js|ts)$/).sort();
  return [...below("dist", /\.m?js$/), ...below("src", /\.mjs$/)].sort();
}
