import { execFile, execFileSync } from "node:child_process";
import { randomBytes } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { mkdtemp } from "node:fs/promises";
import { createServer } from "node:net";
import { hostname, tmpdir } from "node:os";
import { delimiter, join, resolve } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { promisify } from "node:util";
import { Job } from "kubernetes-models/batch/v1/Job";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { parse } from "yaml";
import { gnuParallel, slurm } from "./outside.mjs";
import { flat } from "./pictures.ts";
import { runHere } from "./runHere.ts";
import { COMMAND } from "./runTonefall.ts";

const RECIPES = resolve(import.meta.dirname, "../packages/grader/docs/scale");
const PARTS = 3;
const run = promisify(execFile);

let folder = "";
let env: Readonly<Record<string, string | undefined>> = {};
/** What one run gives. */
let whole = "";

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "tonefall scale "));
  const shoot = join(folder, "a shoot");
  mkdirSync(shoot);
  for (const code of [60, 90, 118, 140, 200]) {
    await flat(code)
      .jpeg()
      .toFile(join(shoot, `${code}.jpg`));
  }
  // The command as the recipes call it. A part that is asked for in the file "fails" fails once.
  const bin = join(folder, "bin");
  mkdirSync(bin);
  const script = `#!/bin/sh
for word in "$@"; do
  if [ -e "${folder}/fails" ] && [ "$word" = "$(cat "${folder}/fails")" ]; then rm "${folder}/fails"; exit 9; fi
done
exec "${process.execPath}" "${COMMAND}" "$@"
`;
  writeFileSync(join(bin, "tonefall"), script, { mode: 0o755 });
  env = {
    ...process.env,
    PATH: `${bin}${delimiter}${process.env["PATH"]}`,
    // One cache for all parts, as machines of one run may share it.
    TONEFALL_CACHE: join(folder, "cache"),
  };
  const graded = ["grade", "a shoot", "--place", "0", "-f", "csv"];
  whole = (await runHere(graded, { cwd: folder })).stdout;
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe.skipIf(gnuParallel().path === null)(`GNU parallel${gnuParallel().skipped}`, () => {
  test("runs a failed part again on its own, and joins what one run would have given", async () => {
    const script = join(RECIPES, "parallel.sh");
    const recipe = [script, `${PARTS}`, "all.csv", "a shoot", "--place", "0"];
    writeFileSync(join(folder, "fails"), "part-2.ndjson");
    await expect(run("bash", recipe, { cwd: folder, env })).rejects.toMatchObject({ code: 1 });
    const first = readFileSync(join(folder, "parts.log"), "utf8").trim().split("\n");
    expect(first).toHaveLength(1 + PARTS);
    const { stderr } = await runHere(["merge", "part-1.ndjson", "part-3.ndjson"], { cwd: folder });
    expect(stderr).toContain(`give part 2/${PARTS} whole`);
    await run("bash", recipe, { cwd: folder, env });
    const second = readFileSync(join(folder, "parts.log"), "utf8").trim().split("\n");
    expect(second).toHaveLength(1 + PARTS + 1);
    expect(readFileSync(join(folder, "all.csv"), "utf8")).toBe(whole);
  });
});

describe.skipIf(slurm().path === null)(`Slurm${slurm().skipped}`, () => {
  let end = async (): Promise<void> => {};
  let cluster = "";
  const task = (...options: string[]): Promise<unknown> => {
    const recipe = [join(RECIPES, "slurm.sh"), "a shoot", "--place", "0"];
    return run("sbatch", ["--wait", ...options, ...recipe], {
      cwd: join(folder),
      env: { ...env, SLURM_CONF: join(cluster, "slurm.conf") },
    });
  };

  beforeAll(async () => {
    // Paths of Slurm hold no spaces.
    cluster = await mkdtemp(join(tmpdir(), "tonefall-slurm-"));
    end = await startSlurm(cluster);
  });
  afterAll(async () => {
    await end();
    rmSync(cluster, { recursive: true, force: true });
  });

  test("runs an array, and one part of it again, and joins what one run would have given", async () => {
    const parts = [1, 2, 3].map((index) => join(folder, `part-${index}.ndjson`));
    for (const part of parts) rmSync(part, { force: true });
    await task(`--array=1-${PARTS}`);
    rmSync(parts[1] as string);
    const before = env;
    env = { ...env, TONEFALL_SHARD_TOTAL: `${PARTS}` };
    await task("--array=2");
    env = before;
    const { stdout } = await runHere(["merge", ...parts, "-f", "csv"], { cwd: folder });
    expect(stdout).toBe(whole);
  });
});

/** Starts Slurm with one node, this machine; gives what ends it. */
async function startSlurm(home: string): Promise<() => Promise<void>> {
  const [controller, node] = [await freePort(), await freePort()];
  const at = (name: string): string => join(home, name);
  for (const name of ["state", "spool"]) mkdirSync(at(name));
  writeFileSync(at("munge.key"), randomBytes(1024), { mode: 0o400 });
  const settings = {
    ClusterName: "tonefall",
    SlurmctldHost: hostname().split(".")[0],
    SlurmUser: "root",
    AuthType: "auth/munge",
    AuthInfo: `socket=${at("munge.socket")}`,
    ProctrackType: "proctrack/pgid",
    TaskPlugin: "task/none",
    SelectType: "select/cons_tres",
    SelectTypeParameters: "CR_CPU",
    MpiDefault: "none",
    JobAcctGatherType: "jobacct_gather/none",
    SlurmctldPort: controller,
    SlurmdPort: node,
    StateSaveLocation: at("state"),
    SlurmdSpoolDir: at("spool"),
    SlurmctldPidFile: at("slurmctld.pid"),
    SlurmdPidFile: at("slurmd.pid"),
    SlurmctldLogFile: at("slurmctld.log"),
    SlurmdLogFile: at("slurmd.log"),
  };
  const lines = Object.entries(settings).map(([name, value]) => `${name}=${value}`);
  const machine = `NodeName=${settings.SlurmctldHost} CPUs=2 State=UNKNOWN`;
  const queue = `PartitionName=all Nodes=${settings.SlurmctldHost} Default=YES State=UP`;
  writeFileSync(at("slurm.conf"), `${[...lines, machine, queue].join("\n")}\n`);
  const own = {
    ...process.env,
    PATH: `${process.env["PATH"]}:/usr/sbin`,
    SLURM_CONF: at("slurm.conf"),
  };
  const munge = ["key", "socket", "pid", "log", "seed"].map((what) => {
    return `--${what}${what === "socket" ? "" : "-file"}=${at(`munge.${what}`)}`;
  });
  const start = (program: string, ...words: string[]): unknown =>
    execFileSync(program, words, { env: own, stdio: "ignore" });
  start("munged", "--force", ...munge);
  start("slurmctld");
  start("slurmd");
  // The node joins after a few seconds.
  for (let tries = 0; tries < 60; tries++) {
    const said = await run("sinfo", ["-h", "-o", "%t"], { env: own }).catch(() => ({ stdout: "" }));
    if (said.stdout.trim() === "idle") break;
    await delay(500);
  }
  return async () => {
    for (const name of ["slurmd.pid", "slurmctld.pid", "munge.pid"].map(at)) {
      if (existsSync(name)) await endOf(Number(readFileSync(name, "utf8")));
    }
  };
}

/** Ends a process that is no child of this one, and waits until it has written its last. */
async function endOf(pid: number): Promise<void> {
  process.kill(pid);
  for (let tries = 0; tries < 100 && isThere(pid); tries++) await delay(100);
  if (isThere(pid)) process.kill(pid, "SIGKILL");
}

function isThere(pid: number): boolean {
  try {
    return process.kill(pid, 0);
  } catch {
    return false;
  }
}

function freePort(): Promise<number> {
  return new Promise((done) => {
    const server = createServer().listen(0, () => {
      const address = server.address();
      server.close(() => done(typeof address === "object" ? (address?.port ?? 0) : 0));
    });
  });
}

describe("the manifest for Kubernetes", () => {
  const manifest = parse(readFileSync(join(RECIPES, "kubernetes.yaml"), "utf8"));
  const { spec } = manifest;
  const valid = (job: typeof manifest): boolean => {
    try {
      new Job(job).validate();
      return true;
    } catch {
      return false;
    }
  };

  // Truth: the schema that the API publishes. It lets unknown keys pass, so a value that no key takes shows whether one is known.
  test("follows the API's schema, and has no key that the API does not know", () => {
    expect(valid(manifest)).toBe(true);
    const paths = leavesOf(manifest);
    expect(paths.length).toBeGreaterThan(20);
    const unknown = paths.filter((path) => valid(withLeaf(manifest, path, { no: [] })));
    expect(unknown).toEqual([]);
    expect(valid({ ...manifest, spec: { ...spec, completionz: { no: [] } } })).toBe(true);
  });

  test("has as many completions as it says parts", () => {
    const [container] = spec.template.spec.containers;
    const named = ({ name }: { name: string }): boolean => name === "TONEFALL_SHARD_TOTAL";
    const total = container.env.find(named);
    expect([spec.completionMode, `${spec.completions}`]).toEqual(["Indexed", total.value]);
  });
});

type Path = readonly string[];

/** Where the values of a document stand that hold no others. */
function leavesOf(value: unknown, at: Path = []): Path[] {
  if (typeof value !== "object" || value === null) return [at];
  return Object.entries(value).flatMap(([key, inner]) => leavesOf(inner, [...at, key]));
}

/** A copy of a document with one value replaced. */
function withLeaf(document: object, path: Path, leaf: object): object {
  const copy = structuredClone(document);
  const holder = path.slice(0, -1).reduce((at: object, key) => Reflect.get(at, key), copy);
  Reflect.set(holder, path.at(-1) as string, leaf);
  return copy;
}
