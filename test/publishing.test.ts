import { spawnSync } from "node:child_process";
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { rm } from "node:fs/promises";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { parse } from "yaml";
import workspace from "../package.json" with { type: "json" };
import { newFolder } from "./pictures.ts";

const ROOT = resolve(import.meta.dirname, "..");
const PACKAGES = readdirSync(join(ROOT, "packages"));
/** Nothing listens there. */
const NO_REGISTRY = "http://127.0.0.1:9/";

interface Manifest {
  readonly name: string;
  readonly version: string;
  readonly repository?: unknown;
}

interface Workflow {
  readonly on: Readonly<Record<string, unknown>>;
  readonly permissions: Readonly<Record<string, string>>;
  readonly jobs: {
    readonly publish: {
      readonly permissions: Readonly<Record<string, string>>;
      readonly steps: readonly {
        readonly uses?: string;
        readonly run?: string;
        readonly env?: Readonly<Record<string, string>>;
      }[];
    };
  };
}

const workflow = parse(
  readFileSync(join(ROOT, ".github/workflows/publish.yml"), "utf8"),
) as Workflow;
const { steps } = workflow.jobs.publish;
const runs = steps.flatMap(({ run }) => run ?? []);
const manifestOf = (root: string, name: string): Manifest =>
  JSON.parse(readFileSync(join(root, "packages", name, "package.json"), "utf8"));

describe("the workflow that publishes", () => {
  test("runs on a tag or by hand alone, where it uploads nothing unless it is asked to", () => {
    expect(workflow.on).toEqual({
      push: { tags: ["v*"] },
      workflow_dispatch: {
        inputs: { "dry-run": expect.objectContaining({ type: "boolean", default: true }) },
      },
    });
    expect(steps.at(-1)?.env?.["DRY_RUN"]).toContain("inputs.dry-run && '--dry-run' || ''");
  });

  test("may ask for an identity, and write nothing else", () => {
    expect(workflow.permissions).toEqual({ contents: "read" });
    expect(workflow.jobs.publish.permissions).toEqual({ contents: "read", "id-token": "write" });
  });

  test("runs scripts that exist, and tests before it publishes", () => {
    for (const run of runs) {
      const [program, script = ""] = run.split(" ");
      expect(["node", "npm"]).toContain(program);
      if (program === "node") expect(existsSync(join(ROOT, script))).toBe(true);
      else expect(Object.keys(workspace.scripts)).toContain(script);
    }
    expect(runs[0]).toBe("npm test");
  });

  // Truth: the package manager's own dry run of the workflow's last line, away from any registry.
  test("would publish every package, with provenance", () => {
    const [program = "", ...words] = (runs.at(-1) as string).split(" ");
    expect([program, words.at(-1)]).toEqual(["node", "$DRY_RUN"]);
    expect(words).toContain("--provenance");
    const { status, stdout, stderr } = spawnSync(
      process.execPath,
      [...words.slice(0, -1), "--dry-run", "--registry", NO_REGISTRY],
      {
        cwd: ROOT,
        encoding: "utf8",
        env: { ...process.env, pnpm_config_fetch_retries: "0" },
      },
    );
    expect([status, status === 0 ? "" : stderr]).toEqual([0, ""]);
    for (const name of PACKAGES) {
      const manifest = manifestOf(ROOT, name);
      expect(`${stdout}${stderr}`).toContain(`${manifest.name}@${manifest.version} (dry run)`);
    }
  });
});

describe("a copy of the manifests", () => {
  let copy = "";
  beforeAll(async () => {
    copy = await newFolder();
    for (const path of [".ci", ".changeset", "package.json", "pnpm-workspace.yaml"]) {
      cpSync(join(ROOT, path), join(copy, path), { recursive: true });
    }
    for (const name of PACKAGES) {
      mkdirSync(join(copy, "packages", name), { recursive: true });
      const path = join("packages", name, "package.json");
      cpSync(join(ROOT, path), join(copy, path));
    }
  });
  afterAll(() => rm(copy, { recursive: true }));

  const prepared = (env: Readonly<Record<string, string>>) =>
    spawnSync(process.execPath, [join(copy, ".ci/beforePublish.mjs")], {
      encoding: "utf8",
      env: { GITHUB_SERVER_URL: "https://host.example", GITHUB_REPOSITORY: "a/b", ...env },
    });

  test("is refused under a tag that is not its version, and stays as it was", () => {
    const { status, stderr } = prepared({ GITHUB_REF_TYPE: "tag", GITHUB_REF_NAME: "v99.0.0" });
    expect(status).toBe(1);
    expect(stderr).toMatch(/^The tag is v99\.0\.0, but the packages are at \d/);
    for (const name of PACKAGES) expect(manifestOf(copy, name).repository).toBeUndefined();
  });

  test("names the repository that it is built from", () => {
    const tag = `v${manifestOf(copy, "grader").version}`;
    expect(prepared({ GITHUB_REF_TYPE: "tag", GITHUB_REF_NAME: tag }).status).toBe(0);
    for (const name of PACKAGES) {
      const { repository, ...rest } = manifestOf(copy, name);
      expect(repository).toEqual({
        type: "git",
        url: "git+https://host.example/a/b.git",
        directory: `packages/${name}`,
      });
      expect(rest).toEqual(manifestOf(ROOT, name));
    }
  });

  test("gets one version for all packages and an entry in each list of changes, by one changeset", () => {
    writeFileSync(
      join(copy, ".changeset/a-change.md"),
      '---\n"@tonefall/tone-core": minor\n---\n\nA change of one package.\n',
    );
    const { status, stderr } = spawnSync(
      process.execPath,
      [join(ROOT, "node_modules/@changesets/cli/bin.js"), "version"],
      { cwd: copy, encoding: "utf8" },
    );
    expect([status, stderr.match(/error.*/i)?.[0]]).toEqual([0, undefined]);
    const versions = PACKAGES.map((name) => manifestOf(copy, name).version);
    expect(new Set(versions).size).toBe(1);
    expect(versions[0]).not.toBe(manifestOf(ROOT, "grader").version);
    const changes = join(copy, "packages/tone-core/CHANGELOG.md");
    expect(readFileSync(changes, "utf8")).toContain("A change of one package.");
  });
});
