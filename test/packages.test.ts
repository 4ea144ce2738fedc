import { execFileSync } from "node:child_process";
import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { join, posix, resolve } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import workspace from "../package.json" with { type: "json" };

const ROOT = resolve(import.meta.dirname, "..");
const PACKAGES = readdirSync(join(ROOT, "packages"));

interface Manifest {
  readonly name: string;
  readonly bin?: Readonly<Record<string, string>>;
  readonly exports: Readonly<Record<string, string | Readonly<Record<string, string>>>>;
}

interface Tarball {
  readonly name: string;
  readonly files: readonly { readonly path: string }[];
}

let listed: readonly Tarball[] | null = null;

/** What the package manager would put into each tarball. */
function tarballs(): readonly Tarball[] {
  listed ??= JSON.parse(
    execFileSync(
      process.execPath,
      [".ci/pnpm.mjs", "--recursive", "--filter=./packages/*", "pack", "--dry-run", "--json"],
      { cwd: ROOT, encoding: "utf8", maxBuffer: 2 ** 26 },
    ),
  ) as readonly Tarball[];
  return listed;
}

/** Where code opens a file beside itself, or one that it names by its place in the package. */
const OPENED = /new URL\(\s*["`]([^"`$]+)[^"`]*["`],\s*(import\.meta\.url|PACKAGE_HOME)/g;

// Truth: what the package manager says that it would put into the tarball.
describe.each(PACKAGES)("the tarball of %s", (name) => {
  const folder = join(ROOT, "packages", name);
  const manifest = JSON.parse(readFileSync(join(folder, "package.json"), "utf8")) as Manifest;
  let packed: ReadonlySet<string> = new Set();

  beforeAll(() => {
    const { files } = tarballs().find((tarball) => tarball.name === manifest.name) as Tarball;
    packed = new Set(files.map(({ path }) => path));
  });

  const text = (path: string): string => readFileSync(join(folder, path), "utf8");
  const of = (pattern: RegExp): string[] => [...packed].filter((path) => pattern.test(path));

  test("has what a stranger looks for first", () => {
    for (const path of ["package.json", "README.md", "SOURCES.md", "LICENSE"]) {
      expect([...packed]).toContain(path);
    }
    expect(text("README.md")).toMatch(new RegExp(`^# ${manifest.name}\n`));
  });

  test("has every file that its manifest names", () => {
    const targets = [
      ...Object.values(manifest.bin ?? {}),
      ...Object.values(manifest.exports).flatMap((target) =>
        typeof target === "string" ? [target] : Object.values(target),
      ),
    ].map((path) => posix.normalize(path));
    expect(targets.length).toBeGreaterThan(2);
    expect(targets.filter((path) => !packed.has(path))).toEqual([]);
  });

  test("has every file and folder that its code opens beside itself", () => {
    const opened = of(/^dist\/.*\.m?js$|^src\/.*\.mjs$/).flatMap((path) =>
      [...text(path).matchAll(OPENED)].map(([, to = "", from]) =>
        from === "PACKAGE_HOME" ? to : posix.join(posix.dirname(path), to),
      ),
    );
    // "./" is the package itself.
    const missing = opened.filter(
      (path) => path !== "./" && ![...packed].some((file) => file.startsWith(path)),
    );
    expect(missing).toEqual([]);
    if (name === "grader") expect(opened).toContain("src/picture/raw/libRawWorker.mjs");
  });

  test("has every file that its pages link to", () => {
    const links = of(/\.md$/).flatMap((path) =>
      [...text(path).matchAll(/\]\((?!\w+:|#)([^)#]+)/g)].map(([, to]) =>
        posix.join(posix.dirname(path), to as string),
      ),
    );
    expect(links.length).toBeGreaterThan(0);
    expect(links.filter((path) => !packed.has(path))).toEqual([]);
  });

  test("has nothing that is only of use here", () => {
    expect(
      of(
        /\.test(-d)?\.|tsbuildinfo|^(bench|test|kernel|src\/output\/(page|handout)\/client|node_modules)\//,
      ),
    ).toEqual([]);
  });

  test("lists every source that its code cites, or a package that it depends on does", () => {
    const listed = new Set(
      PACKAGES.filter((other) => other === name || name === "grader").flatMap((other) =>
        [
          ...readFileSync(join(ROOT, "packages", other, "SOURCES.md"), "utf8").matchAll(
            /^\| ([A-Z0-9-]+) +\|/gm,
          ),
        ].map(([, key]) => key),
      ),
    );
    const cited = of(/^src\/.*\.m?ts$|^src\/.*\.mjs$/).flatMap((path) =>
      [...text(path).matchAll(/\/\*\*[\s\S]*?\*\//g)].flatMap(([comment]) =>
        [...comment.matchAll(/\[([A-Z][A-Z0-9]+(?:-[A-Z0-9]+)*)\]/g)].map(([, key]) => key),
      ),
    );
    expect(cited.length).toBeGreaterThan(0);
    expect(cited.filter((key) => !listed.has(key))).toEqual([]);
  });
});

test("the tarball of grader has the bundled command once, with the licences of what is in it", () => {
  const folder = join(ROOT, "packages/grader");
  const tarball = tarballs().find(({ name }) => name === "@tonefall/grader") as Tarball;
  const of = (pattern: RegExp): string[] =>
    tarball.files.map(({ path }) => path).filter((path) => pattern.test(path));
  const text = (path: string): string => readFileSync(join(folder, path), "utf8");
  expect(of(/^dist\/cli\//)).toEqual([]);
  const bundle = of(/^dist\/(?:cli\.js|command\/)/);
  const bytes = bundle.reduce((sum, path) => sum + statSync(join(folder, path)).size, 0);
  expect(bytes).toBeLessThan(8e6);
  // The scripts alone, without their maps, are what a start may have to read.
  expect(text("dist/cli.js").length).toBeLessThan(4096);
  const code = bundle
    .filter((path) => path.endsWith("js"))
    .map(text)
    .join("\n");
  const licences = text("dist/command/licences.txt");
  for (const name of ["commander", "zod", "yaml", "fast-xml-parser", "sharp", "string-width"]) {
    expect(licences).toMatch(new RegExp(`^${name} \\d`, "m"));
  }
  // Compiled code stays outside, and so does a sharp of another version than the one that is within.
  expect(bundle.filter((path) => /\.(?:node|so|wasm)$/.test(path))).toEqual([]);
  expect(code).toMatch(/import\("sharp"\)/);
  expect(licences).not.toMatch(/^(?:libraw-wasm|libheif-js) /m);
});

/** Runs a package by its name, from a registry if it is not there: whoever owns the name owns the machine. */
const RUNS_BY_NAME =
  /\b(?:npx|npm (?:exec|x|i|install)|pnpm (?:dlx|add)|yarn (?:dlx|add)|bunx)((?: +-{1,2}[\w=-]+)*) +([@\w][\w@/.-]*)/g;

test("pages name no package to install or to run but our own, and tools that this workspace pins", () => {
  const folders = [
    ".",
    "samples",
    ...PACKAGES.flatMap((name) => [`packages/${name}`, `packages/${name}/docs`]),
  ];
  const pages = folders
    .filter((folder) => existsSync(join(ROOT, folder)))
    .flatMap((folder) => readdirSync(join(ROOT, folder)).map((name) => posix.join(folder, name)))
    .filter((path) => /\.(md|ya?ml)$/.test(path))
    .map((path) => ({ path, text: readFileSync(join(ROOT, path), "utf8") }));
  const named = pages.flatMap(({ path, text }) =>
    [...text.matchAll(RUNS_BY_NAME)].map(([, , name]) => ({ path, name: name as string })),
  );
  const tools = Object.keys(workspace.devDependencies);
  const ours = (path: string, name: string): boolean =>
    name.startsWith("@tonefall/") || (path === "DEVELOPERS.md" && tools.includes(name));
  expect(named.length).toBeGreaterThan(5);
  expect(named.filter(({ path, name }) => !ours(path, name))).toEqual([]);
});
