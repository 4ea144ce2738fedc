import { spawnSync } from "node:child_process";
import { mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { parse } from "yaml";
import { flat, newFolder } from "./pictures.ts";
import { COMMAND } from "./runTonefall.ts";

const ACTION = resolve(import.meta.dirname, "../packages/grader/action.yml");

interface Action {
  readonly inputs: Readonly<
    Record<string, { readonly default?: string; readonly required?: true }>
  >;
  readonly outputs: Readonly<Record<string, { readonly value: string }>>;
  readonly runs: {
    readonly steps: readonly {
      readonly id: string;
      readonly env: Readonly<Record<string, string>>;
      readonly run: string;
    }[];
  };
}

/** A check in jobs of a matrix, as the docs have it. */
const MATRIX = resolve(import.meta.dirname, "../packages/grader/docs/scale/check-matrix.yml");

interface Workflow {
  readonly jobs: Readonly<
    Record<
      string,
      {
        readonly strategy?: { readonly matrix: { readonly part: readonly number[] } };
        readonly steps: readonly { readonly run?: string }[];
      }
    >
  >;
}

const hasBash = spawnSync("bash", ["-c", ""]).status === 0;

/** Grey at middle grey: the claim holds, or misses by what is placed. */
const set = (place: string): string =>
  `set: at ${place}\nallow: [extra-file]\nframes: { grey: { file: grey.jpg, claims: [{ falls: { place: "${place}" } }] } }\n`;

let folder = "";
let action: Action;
beforeAll(async () => {
  folder = await newFolder();
  action = parse(await readFile(ACTION, "utf8"));
  await mkdir(join(folder, "second week"));
  await mkdir(join(folder, "a runner"));
  for (const [path, place] of [
    ["kept.yaml", "0"],
    ["second week/kept too.yaml", "0"],
    ["missed.yaml", "+2"],
  ] as const) {
    await writeFile(join(folder, path), set(place));
    await flat(118)
      .jpeg({ quality: 100 })
      .toFile(join(folder, path, "../grey.jpg"));
  }
});
afterAll(() => rm(folder, { recursive: true }));

/** Runs the action's one step as a runner does: inputs by its environment, outputs and summary by files. */
async function run(inputs: Readonly<Record<string, string>>): Promise<{
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
  readonly summary: string;
  readonly outputs: Readonly<Record<string, string>>;
}> {
  const [step] = action.runs.steps as [Action["runs"]["steps"][number]];
  const given: Readonly<Record<string, string>> = {
    command: `"${process.execPath}" '${COMMAND}'`,
    ...inputs,
  };
  const env = Object.entries(step.env).map(([name, expression]) => {
    const input = /^\$\{\{ inputs\.([\w-]+) \}\}$/.exec(expression)?.[1] as string;
    return [name, given[input] ?? action.inputs[input]?.default ?? ""];
  });
  const files = {
    GITHUB_OUTPUT: join(folder, "out put"),
    GITHUB_STEP_SUMMARY: join(folder, "summary"),
  };
  for (const file of Object.values(files)) await writeFile(file, "");
  const { status, stdout, stderr } = spawnSync(
    "bash",
    ["--noprofile", "--norc", "-eo", "pipefail", "-c", step.run],
    {
      cwd: folder,
      encoding: "utf8",
      env: {
        ...process.env,
        ...Object.fromEntries(env),
        ...files,
        RUNNER_TEMP: join(folder, "a runner"),
      },
    },
  );
  const lines = (await readFile(files.GITHUB_OUTPUT, "utf8")).split("\n").filter(Boolean);
  const outputs = Object.fromEntries(lines.map((line) => line.split(/=(.*)/s)));
  return {
    status,
    stdout,
    stderr,
    outputs,
    summary: await readFile(files.GITHUB_STEP_SUMMARY, "utf8"),
  };
}

describe.skipIf(!hasBash)(`the action${hasBash ? "" : " (skipped: no bash)"}`, () => {
  test("checks sets whose paths hold spaces, a path a line", async () => {
    const { status, stderr, outputs, summary } = await run({
      sets: "kept.yaml\n  second week/kept too.yaml  \n\n",
    });
    expect(status).toBe(0);
    // The files that stand in for the runner's own lie beside the set.
    expect(stderr).toMatch(/^(?:tonefall: 2 files were skipped[^\n]*\n)?$/);
    expect(outputs["exit-code"]).toBe("0");
    const { sets } = JSON.parse(await readFile(outputs["result"] as string, "utf8"));
    expect(sets).toHaveLength(2);
    expect(summary).toContain("2 claims");
  });

  test("fails when a claim is missed, and marks its line", async () => {
    const { status, stdout, outputs } = await run({ sets: "missed.yaml" });
    expect([status, outputs["exit-code"]]).toEqual([1, "1"]);
    expect(stdout).toMatch(/^::error file=missed\.yaml,line=3,/m);
  });

  test("a check that gives no result has none, whatever was there before", async () => {
    await run({ sets: "kept.yaml" });
    const stale = join(folder, "a runner/tonefall.json");
    await writeFile(stale, '{"schemaVersion":1}');
    const { status, outputs, summary, stdout } = await run({ sets: "nowhere.yaml" });
    expect(status).toBe(2);
    expect(outputs).toEqual({ "exit-code": "2" });
    expect([summary, stdout]).toEqual(["", ""]);
  });

  test("a part leaves the summary to whoever merges", async () => {
    const { outputs, summary } = await run({ sets: "kept.yaml", shard: "1/2" });
    expect(outputs["result"]).toMatch(/check\.json$/);
    expect(summary).toBe("");
  });

  test("declares every output that its step writes, and nothing else", async () => {
    const { outputs } = await run({ sets: "kept.yaml" });
    expect(Object.keys(action.outputs).sort()).toEqual(Object.keys(outputs).sort());
    const id = action.runs.steps[0]?.id;
    for (const [name, { value }] of Object.entries(action.outputs)) {
      expect(value).toBe(`\${{ steps.${id}.outputs.${name} }}`);
    }
  });
});

describe.skipIf(!hasBash)("the recipe for a check in jobs of a matrix", () => {
  test("joins its parts into one summary and one report, and fails for all of them", async () => {
    const { part, join: last } = (parse(await readFile(MATRIX, "utf8")) as Workflow).jobs;
    const home = join(folder, "matrix");
    await mkdir(join(home, "samples"), { recursive: true });
    await writeFile(join(home, "samples/set.yaml"), set("+2"));
    await flat(118).jpeg({ quality: 100 }).toFile(join(home, "samples/grey.jpg"));
    /** Runs a job's own command, as a runner does, with the command that is built here. */
    const job = (steps: Workflow["jobs"][string]["steps"] = [], env = {}): number | null => {
      const [command] = steps.flatMap(({ run: text }) => (text?.startsWith("npx ") ? [text] : []));
      const own = command?.replace(
        "npx --no-install @tonefall/grader",
        `"${process.execPath}" '${COMMAND}'`,
      );
      return spawnSync("bash", ["--noprofile", "--norc", "-e", "-c", own as string], {
        cwd: home,
        env: { ...process.env, GITHUB_STEP_SUMMARY: join(home, "summary"), ...env },
      }).status;
    };
    const parts = part?.strategy?.matrix.part ?? [];
    for (const [index] of parts.entries()) {
      const shard = { TONEFALL_SHARD_INDEX: `${index}`, TONEFALL_SHARD_TOTAL: `${parts.length}` };
      // A part whose claims do not hold goes on to the job that joins.
      expect(job(part?.steps, shard)).toBe(0);
    }
    expect(job(last?.steps)).toBe(1);
    expect(await readFile(join(home, "summary"), "utf8")).toContain("1 claim does not hold");
    expect(await readFile(join(home, "report.html"), "utf8")).toContain("at +2");
  }, 60_000);
});
