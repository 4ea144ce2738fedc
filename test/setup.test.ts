import { spawnSync } from "node:child_process";
import { cp, mkdir, readdir, rm, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import { expect, test } from "vitest";
import manifest from "../package.json" with { type: "json" };
import { newFolder } from "./pictures.ts";

const ROOT = resolve(import.meta.dirname, "..");

/** Installs a workspace of these dependencies, with the scripts and the pnpm of this one; nothing comes from a registry. */
async function setUp(dependencies: Record<string, string>): Promise<Output> {
  const folder = await newFolder();
  try {
    await cp(join(ROOT, ".ci"), join(folder, ".ci"), { recursive: true });
    const { packageManager } = manifest;
    const workspace = { name: "clone", version: "0.0.0", private: true, packageManager };
    await writeFile(join(folder, "package.json"), JSON.stringify({ ...workspace, dependencies }));
    await writeFile(join(folder, "pnpm-workspace.yaml"), "pmOnFail: ignore\n");
    await writeFile(join(folder, "pnpm-lock.yaml"), LOCK_FILE);
    await mkdir(join(folder, "beside"));
    await writeFile(join(folder, "beside/package.json"), '{ "name": "beside" }');
    const { status, stdout, stderr } = spawnSync(
      process.execPath,
      [join(folder, ".ci/setup.mjs")],
      { cwd: folder, encoding: "utf8" },
    );
    const installed = (await readdir(join(folder, "node_modules")).catch(() => [])).filter(
      (name) => !name.startsWith("."),
    );
    return { status, stdout, stderr, installed };
  } finally {
    await rm(folder, { recursive: true });
  }
}

interface Output {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
  readonly installed: readonly string[];
}

/** What the dependency of {@link setUp} is locked to. */
const LOCK_FILE = `lockfileVersion: '9.0'

settings:
  autoInstallPeers: true
  excludeLinksFromLockfile: false

importers:

  .:
    dependencies:
      beside:
        specifier: link:./beside
        version: link:beside
`;

test("packages are installed in one line of progress", async () => {
  const { stderr, ...rest } = await setUp({ beside: "link:./beside" });
  expect(rest).toEqual({ status: 0, stdout: "", installed: ["beside"] });
  expect(stderr).toMatch(/^Installing packages[^\n]*\n$/);
});

test("an install that fails shows its reason", async () => {
  const { status, stderr } = await setUp({ beside: "link:./beside", forgotten: "link:./beside" });
  expect(status).toBe(1);
  expect(stderr).toMatch(/LOCKFILE/);
  expect(stderr).toMatch(/could not be installed\.\n$/);
});

test("the demo and the tests install that way, before anything else", () => {
  const { demo, test: tests, setup } = manifest.scripts;
  for (const script of [demo, tests]) expect(script).toMatch(/^npm run -s setup &&/);
  expect(setup).toBe("node .ci/setup.mjs");
  expect(Object.keys(manifest.scripts)).not.toContain("pretest");
  expect(Object.keys(manifest.scripts)).not.toContain("predemo");
});
