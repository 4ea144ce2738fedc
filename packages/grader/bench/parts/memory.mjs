import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import { pictures } from "../pictures.mjs";
import { JOBS } from "../timing.mjs";

/** Peak memory of processes of their own, by how they grade and how many frames. */
export async function measure({ short }) {
  const [megapixels, frames, many] = short ? [5, 1, 2] : [24, 12, 200];
  const paths = await pictures(frames, { megapixels });
  const modes = ["exact", "standard", "quick"];
  return {
    about: `JPEGs of ${megapixels} megapixels, ${JOBS} in work at once: the most memory the process held, in MB.`,
    rows: [
      { mode: "bare decode", ...peaks(paths, [frames, many], BARE) },
      ...modes.map((mode) => ({ mode, ...peaks(paths, [frames, many], gradeIn(mode)) })),
    ],
  };
}

const BARE = `
  import { bareDecode } from ${JSON.stringify(new URL("../timing.mjs", import.meta.url).href)};
  await bareDecode(paths);`;

const gradeIn = (precision) => `
  import { gradeFrames } from ${JSON.stringify(import.meta.resolve("@tonefall/grader"))};
  for await (const _ of gradeFrames(paths, { place: 0 }, { jobs: ${JOBS}, precision: "${precision}" }));`;

function peaks(paths, counts, script) {
  return Object.fromEntries(
    counts.map((count) => {
      const sources = Array.from({ length: count }, (_, i) => paths[i % paths.length]);
      return [`${count} frames`, peakMegabytes(sources, script)];
    }),
  );
}

function peakMegabytes(paths, script) {
  const whole = `
    const paths = JSON.parse(process.env.PATHS);
    ${script}
    process.stdout.write(String(Math.round(process.resourceUsage().maxRSS / 1024)));`;
  const run = spawnSync(process.execPath, ["--input-type=module", "--eval", whole], {
    encoding: "utf8",
    cwd: fileURLToPath(new URL("../..", import.meta.url)),
    env: { ...process.env, PATHS: JSON.stringify(paths) },
  });
  if (run.status !== 0) throw new Error(run.stderr);
  return Number(run.stdout);
}
