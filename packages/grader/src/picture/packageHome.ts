/**
 * The folder of this package. Modules of the sources and of the build, and the scripts that the command is bundled into, all
 * lie two folders below it.
 */
export const PACKAGE_HOME: URL = new URL("../../", import.meta.url);

/** Where the build puts the bundled command and what it starts, as a folder of the package. */
export const BUNDLE = "dist/command";

const here = import.meta.url.slice(PACKAGE_HOME.href.length);

/** What runs: the sources, as in tests; the build, module by module, as in other people's programs; the bundled command. */
export const RUNS_FROM: "sources" | "build" | "bundle" = here.startsWith("src/")
  ? "sources"
  : here.startsWith(`${BUNDLE}/`)
    ? "bundle"
    : "build";
