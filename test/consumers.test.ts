import { execFileSync } from "node:child_process";
import { mkdir, readdir, readFile, realpath, rm, symlink, writeFile } from "node:fs/promises";
import { dirname, join, resolve } from "node:path";
import ts from "typescript";
import { afterAll, beforeAll, expect, test } from "vitest";
import { newFolder } from "./pictures.ts";

const ROOT = resolve(import.meta.dirname, "..");

const PROGRAM = `
import { type ExposureRecord, readExposure } from "@tonefall/exif-reader";
import { checkSet, type FrameResult, gradeFrame, gradeFrames } from "@tonefall/grader";
import { gradeBytes } from "@tonefall/grader/browser";
import "@tonefall/grader/vitest";
import { stopsBetween } from "@tonefall/tone-core";
import { expect } from "vitest";

const stops: number = stopsBetween(0.18, 0.36);
const row: FrameResult = await gradeFrame("a.jpg", { place: "tar" });
const inPage: FrameResult = await gradeBytes(new Blob([]), { place: "snow" }, { decoders: {} });
const record: ExposureRecord = await readExposure("a.jpg");
const missed: number = (await checkSet("set.yaml")).summary.missed;
for await (const { verdict } of gradeFrames(["a.jpg"], { place: "snow" })) console.log(verdict);
expect(row).toFallWithin("tar");
console.log(stops, inPage, record, missed);
`;

let project = "";

/** Unpacks the tarballs into a project of their own, with what their manifests ask for and nothing more. */
beforeAll(async () => {
  project = await newFolder();
  const packed = join(project, "packed");
  execFileSync(
    process.execPath,
    [
      ".ci/pnpm.mjs",
      ...["--recursive", "--filter=./packages/*", "pack", `--pack-destination=${packed}`],
    ],
    { cwd: ROOT, stdio: "ignore" },
  );
  for (const name of await readdir(join(ROOT, "packages"))) {
    const to = join(project, "node_modules/@tonefall", name);
    await mkdir(to, { recursive: true });
    const { version } = JSON.parse(
      await readFile(join(ROOT, "packages", name, "package.json"), "utf8"),
    );
    const tarball = join(packed, `tonefall-${name}-${version}.tgz`);
    execFileSync("tar", ["-xzf", tarball, "-C", to, "--strip-components=1"]);
    const { dependencies = {} } = JSON.parse(await readFile(join(to, "package.json"), "utf8"));
    for (const dependency of Object.keys(dependencies)) {
      if (dependency.startsWith("@tonefall/")) continue;
      await link(join("packages", name, "node_modules", dependency), join(to, "node_modules"));
    }
  }
  for (const own of ["vitest", "@types/node"]) {
    await link(join("node_modules", own), join(project, "node_modules"));
  }
  await writeFile(join(project, "package.json"), '{ "type": "module" }');
  await writeFile(join(project, "program.ts"), PROGRAM);
  await writeFile(
    join(project, "wrong.ts"),
    `${PROGRAM}const wrong: string = stops;\nawait gradeFrame("a.jpg", { place: true });\n`,
  );
});
afterAll(() => rm(project, { recursive: true }));

/** Puts one installed package of this workspace into another folder of packages. */
async function link(from: string, into: string): Promise<void> {
  const to = join(into, from.slice(from.lastIndexOf("node_modules/") + "node_modules/".length));
  await mkdir(dirname(to), { recursive: true });
  await symlink(await realpath(join(ROOT, from)), to, "junction");
}

/** What TypeScript has against a program, and against every declaration of ours that it reaches. */
function complaints(program: string, mode: Partial<ts.CompilerOptions>): string[] {
  const made = ts.createProgram([join(project, program)], {
    ...mode,
    target: ts.ScriptTarget.ES2022,
    lib: ["lib.es2022.d.ts"],
    strict: true,
    skipLibCheck: false,
    noEmit: true,
    types: ["node"],
    typeRoots: [join(project, "node_modules/@types")],
  });
  // The declarations of other packages are their authors' to keep, and cost half a minute.
  const files = made
    .getSourceFiles()
    .filter(({ fileName }) => fileName === join(project, program) || /@tonefall/.test(fileName));
  expect(files.length).toBeGreaterThan(100);
  return [
    ...made.getOptionsDiagnostics(),
    ...files.flatMap((file) => [
      ...made.getSyntacticDiagnostics(file),
      ...made.getSemanticDiagnostics(file),
    ]),
  ].map(({ messageText }) => ts.flattenDiagnosticMessageText(messageText, "\n"));
}

const { ModuleKind: Kind, ModuleResolutionKind: Resolution } = ts;

// Truth: the compiler's own answer on what the package manager packs.
test.each([
  ["bundler", { module: Kind.Preserve, moduleResolution: Resolution.Bundler }],
  ["node16", { module: Kind.Node16, moduleResolution: Resolution.Node16 }],
] as const)("a program compiles against the tarballs under %s", (_name, mode) => {
  expect(complaints("program.ts", mode)).toEqual([]);
});

test("under nodenext, it is refused for its own two mistakes alone", () => {
  const mode = { module: Kind.NodeNext, moduleResolution: Resolution.NodeNext };
  expect(complaints("wrong.ts", mode)).toEqual([
    expect.stringMatching(/'number' is not assignable to type 'string'/),
    expect.stringMatching(/^Type '(?:true|boolean)' is not assignable to type/),
  ]);
});
