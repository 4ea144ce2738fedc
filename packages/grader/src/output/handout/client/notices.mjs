// Whose code a hand-in page carries, and the licences that ask to go along with it.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { bundledPackages, packageAt } from "../../../../bundledPackages.mjs";

const HERE = import.meta.dirname;
const PACKAGE = join(HERE, "../../../..");

/** @param {string} name */
const kept = (name) => readFileSync(join(HERE, "licences", `${name}.txt`), "utf8").trim();

/**
 * Libraries that stand compiled in a package, by that package's name. What else the package holds has the package's own
 * licence. `text` gives the words that go along, where the package's own do not have them already.
 */
const COMPILED = {
  "@jsquash/jpeg": [
    {
      name: "mozjpeg",
      licence: "IJG, BSD-3-Clause and Zlib",
      source: "https://github.com/mozilla/mozjpeg",
      text: (home) =>
        `This software is based in part on the work of the Independent JPEG Group.\n\n${readFileSync(join(home, "codec/LICENSE.codec.md"), "utf8").trim()}`,
    },
  ],
  "@jsquash/webp": [
    {
      name: "libwebp",
      licence: "BSD-3-Clause",
      source: "https://chromium.googlesource.com/webm/libwebp",
      text: (home) => readFileSync(join(home, "codec/LICENSE.codec.md"), "utf8").trim(),
    },
  ],
  "libheif-js": [
    {
      name: "libheif",
      licence: "LGPL-3.0",
      source: "https://github.com/strukturag/libheif",
      // The Lesser licence adds to the General one, which has to go along.
      text: () => kept("GPL-3.0"),
    },
    {
      name: "libde265",
      licence: "LGPL-3.0",
      source: "https://github.com/strukturag/libde265",
      text: () => "",
    },
  ],
  "libraw-wasm": [
    {
      name: "LibRaw",
      licence: "LGPL-2.1",
      source: "https://github.com/LibRaw/LibRaw",
      text: () => kept("LGPL-2.1"),
    },
    {
      name: "libjpeg",
      licence: "IJG",
      source: "https://ijg.org",
      text: () =>
        "This software is based in part on the work of the Independent JPEG Group.\nCopyright (C) 1991-2024, Thomas G. Lane, Guido Vollbeding.",
    },
  ],
};

/**
 * Whose code stands in one part of a page.
 *
 * @param {readonly string[]} inputs - the paths that the part was bundled from
 * @returns {readonly import("../notice.ts").PageNotice[]}
 */
export function noticesOf(inputs) {
  return bundledPackages(inputs, PACKAGE).flatMap((one) => [
    shown(one),
    ...(COMPILED[/** @type {"libheif-js"} */ (one.name)] ?? []).map(({ text, ...library }) => ({
      ...library,
      version: null,
      within: one.name,
      text: text(one.home),
    })),
  ]);
}

/** The page's own code. */
export function ownNotice() {
  const { version, licence } = packageAt(PACKAGE);
  const text = readFileSync(join(PACKAGE, "../../LICENSE"), "utf8").trim();
  return { name: "Tonefall", version, licence, source: null, within: null, text };
}

/** @param {import("../../../../bundledPackages.mjs").BundledPackage} one */
function shown({ name, version, licence, source, text }) {
  return { name, version, licence, source, within: null, text };
}
