// Bundles the command, and the script of the processes that it starts, into dist/cli.js and some files in dist/command:
// hundreds of modules, ours and those of packages, take longer to find and read than a frame takes to grade. Each subcommand
// loads the files that it needs. Programs that import the library get the modules as they are.
import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { build } from "esbuild";
import { bundledPackages } from "./bundledPackages.mjs";

const HOME = import.meta.dirname;
const BUNDLE = join(HOME, "dist/command");

/** Packages that bring compiled code, which they find beside themselves. */
const COMPILED = ["libheif-js", "libraw-wasm"];

/**
 * Packages that most runs do without, with what is used of them. Each is a file of its own, loaded when it is first called:
 * one of them takes half as long as Node itself, to make tables of all characters.
 */
const ON_CALL = {
  "string-width": ["default"],
  "wrap-ansi": ["default"],
  "fast-xml-parser": ["XMLParser"],
  "csv-stringify/sync": ["stringify"],
};
const fileOf = (name) => `${name.replaceAll("/", "-")}.cjs`;

const COMMON = {
  absWorkingDir: HOME,
  bundle: true,
  platform: "node",
  target: "node20.19",
  conditions: ["@tonefall/source"],
  minifySyntax: true,
  minifyWhitespace: true,
  sourcemap: true,
  sourcesContent: false,
  legalComments: "none",
  metafile: true,
  logLevel: "warning",
};

rmSync(BUNDLE, { recursive: true, force: true });
const builds = [
  await build({
    ...COMMON,
    entryPoints: { cli: "src/cli.ts", "command/gradingProcess": "src/run/gradingProcess.ts" },
    outdir: "dist",
    chunkNames: "command/[name]-[hash]",
    splitting: true,
    format: "esm",
    external: COMPILED,
    plugins: [onCall(), sharpWithin()],
    // Packages that are CommonJS ask for Node's modules in its way.
    banner: {
      js: `import { createRequire as requireOf } from "node:module";const require = requireOf(import.meta.url);`,
    },
  }),
  // exif-reader has the XML parser, which is found from there.
  ...(await Promise.all(
    Object.entries(ON_CALL).map(([name, used]) =>
      build({
        ...COMMON,
        stdin: {
          contents: `export { ${used.join(", ")} } from "${name}";`,
          resolveDir: join(HOME, name === "fast-xml-parser" ? "../exif-reader" : "."),
        },
        outfile: join(BUNDLE, fileOf(name)),
        format: "cjs",
      }),
    ),
  )),
];
const inputs = builds.flatMap(({ metafile }) => Object.keys(metafile.inputs));
writeFileSync(join(BUNDLE, "licences.txt"), licences(inputs));

// The same for the bundle and for the modules, so that the command and a program that imports the library share a cache.
const { codeDigest } = await import("./dist/run/memory/buildVersion.js");
writeFileSync(join(BUNDLE, "digest.txt"), codeDigest());

/** Puts stand-ins before the packages that are loaded on call. */
function onCall() {
  return {
    name: "on-call",
    setup({ onResolve, onLoad }) {
      const names = new RegExp(`^(?:${Object.keys(ON_CALL).join("|")})$`);
      onResolve({ filter: names }, ({ path }) => ({ path, namespace: "on-call" }));
      onResolve({ filter: /\.cjs$/, namespace: "on-call" }, ({ path }) => ({
        path,
        external: true,
      }));
      onLoad({ filter: /./, namespace: "on-call" }, ({ path }) => ({
        contents: standIns(path, ON_CALL[path]),
      }));
    },
  };
}

/** A module of functions and classes that load the real ones when they are called. */
function standIns(name, used) {
  const stands = used.map(
    (one, i) => `const stand${i} = standIn("${one}"); export { stand${i} as ${one} };`,
  );
  return `
    const real = () => require("./${fileOf(name)}");
    const standIn = (name) => new Proxy(function () {}, {
      apply: (_, self, words) => real()[name](...words),
      construct: (_, words) => new (real()[name])(...words),
    });
    ${stands.join("\n")}`;
}

/**
 * Bundles the modules of sharp, some seventy with those of its packages, and leaves its compiled part where it is installed:
 * finding and reading them takes longer than loading that part. Another version than this one, as somebody's override may
 * install, is loaded as it is.
 */
function sharpWithin() {
  const entry = createRequire(join(HOME, "package.json")).resolve("sharp");
  const manifest = join(entry, "../../package.json");
  const { version } = JSON.parse(readFileSync(manifest, "utf8"));
  return {
    name: "sharp-within",
    setup({ onResolve, onLoad }) {
      onResolve({ filter: /^sharp$/ }, () => ({ path: "sharp", namespace: "sharp-within" }));
      onResolve({ filter: /./, namespace: "sharp-within" }, ({ path }) =>
        path === "bundled"
          ? { path: join(entry, "../index.mjs") }
          : { path: path === "installed" ? "sharp" : path, external: true },
      );
      onLoad({ filter: /./, namespace: "sharp-within" }, () => ({
        contents: `
          import { readFileSync } from "node:fs";
          import { join } from "node:path";
          const manifest = join(require.resolve("sharp"), "../../package.json");
          const { version } = JSON.parse(readFileSync(manifest, "utf8"));
          const isSame = version === ${JSON.stringify(version)};
          export default (await (isSame ? import("bundled") : import("installed"))).default;`,
      }));
      // Its modules look for the compiled part from where they are.
      onLoad({ filter: /[\\/]sharp[\\/]dist[\\/]\w+\.mjs$/ }, ({ path }) => ({
        contents: readFileSync(path, "utf8").replace(
          "createRequire(import.meta.url)",
          'createRequire(requireOf(import.meta.url).resolve("sharp"))',
        ),
      }));
    },
  };
}

/** The licences of the packages that went into the bundle, which ask to go along. */
function licences(inputs) {
  const texts = bundledPackages(inputs, HOME).map(
    ({ name, version, licence, text }) =>
      `${name} ${version} (${licence})${text === "" ? "" : `\n\n${text}`}\n`,
  );
  return `dist/command holds code of these packages.\n\n${texts.join(`\n${"-".repeat(72)}\n\n`)}`;
}
