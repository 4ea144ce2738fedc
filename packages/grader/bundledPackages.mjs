// The packages whose code went into a bundle, with the licences that ask to go along.
import { readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";

/**
 * A package whose code went into a bundle.
 *
 * @typedef {object} BundledPackage
 * @property {string} name
 * @property {string} version
 * @property {string} licence - its SPDX name
 * @property {string | null} source - where its sources are, as a web address; null where the package does not say
 * @property {string} text - the words of its licence; empty where the package has no file of them
 * @property {string} home - its folder
 */

/**
 * The packages that some of a bundle's inputs come from, by name.
 *
 * @param {readonly string[]} inputs - paths, as esbuild's metafile names them
 * @param {string} from - the folder that those paths start at
 * @returns {readonly BundledPackage[]}
 */
export function bundledPackages(inputs, from) {
  const folders = new Set(
    inputs.flatMap((path) => /^.*\/node_modules\/(?:@[^/]+\/)?[^/]+/.exec(path)?.[0] ?? []),
  );
  return [...folders].sort().map((folder) => packageAt(resolve(from, folder)));
}

/** @param {string} home @returns {BundledPackage} */
export function packageAt(home) {
  const { name, version, license, repository } = JSON.parse(
    readFileSync(join(home, "package.json"), "utf8"),
  );
  const file = readdirSync(home).find((entry) => /^(?:licen[cs]e|copying)/i.test(entry));
  const text = file === undefined ? "" : readFileSync(join(home, file), "utf8").trim();
  return { name, version, licence: license, source: webAddress(repository), text, home };
}

/** A repository as package.json may name it: an object, an address for git, or owner and name. */
function webAddress(repository) {
  const named = typeof repository === "string" ? repository : repository?.url;
  if (named === undefined) return null;
  if (/^[\w.-]+\/[\w.-]+$/.test(named)) return `https://github.com/${named}`;
  return named
    .replace(/^git\+/, "")
    .replace(/^(?:git|ssh):\/\/(?:git@)?/, "https://")
    .replace(/^github:/, "https://github.com/")
    .replace(/\.git$/, "");
}
