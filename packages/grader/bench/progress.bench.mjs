// How often is progress recognised, and what is said falsely? Simulated classes whose students are known; the table is kept
// in docs/progress.md, between its marks: `node packages/grader/bench/progress.bench.mjs --write` renews it.
import { readFileSync, writeFileSync } from "node:fs";
import { classTrials } from "@tonefall/grader";

const CLASSES = 200;
const SEEDS = [1, 2, 3];
const PAGE = new URL("../docs/progress.md", import.meta.url);
const BETWEEN_MARKS = /(?<=<!-- trials -->\n)[\s\S]*(?=<!-- end of trials -->)/;

const runs = SEEDS.map((seed) => classTrials(CLASSES, seed));
const coursed = (course, kind) => (run) =>
  run.courses.find((one) => one.course === course).answers[kind];
const rows = [
  ["who improve: called so", coursed("improves", "improves")],
  ["who improve: no clear change", coursed("improves", "no-clear-change")],
  ["who improve: cannot tell yet", coursed("improves", "cannot-tell-yet")],
  ["who stay as they are: said to improve", coursed("steady", "improves")],
  ["who stay as they are: said to get worse", coursed("steady", "worsens")],
  ["who get worse: called so", coursed("worsens", "worsens")],
  ["who stay or get worse: said to improve", (run) => run.falseImproves],
  ["who stay or improve: said to get worse", (run) => run.falseWorsens],
  [
    "with a habit, missing in three of their last four: it is named",
    (run) => run.habits.recognised,
  ],
  ["all: a cause is named that is no habit of theirs", (run) => run.habits.falseRepeats],
  ["without a habit: a cause is named", (run) => run.habits.falseWithoutHabit],
];
const recognised = [4, 5, 6, 8, 10, 12].map((count) => [
  `who improve, ${count} exercises handed in: called so`,
  (run) => run.improvesBy[count] ?? Number.NaN,
]);

const percent = (share) => `${(100 * share).toFixed(1)} %`;
const lines = [...rows, ...recognised].map(([label, share]) => [
  label,
  ...runs.map((run) => percent(share(run))),
]);
const head = ["students", ...SEEDS.map((seed) => `seed ${seed}`)];
const widths = head.map((_, i) => Math.max(...[head, ...lines].map((line) => line[i].length)));
const row = (cells) => `| ${cells.map((cell, i) => cell.padEnd(widths[i])).join(" | ")} |`;
const text = `
${CLASSES} classes of 20 students with each seed.

${[row(head), row(widths.map((width) => "-".repeat(width))), ...lines.map(row)].join("\n")}

`;
process.stdout.write(text);
if (process.argv.includes("--write")) {
  writeFileSync(
    PAGE,
    readFileSync(PAGE, "utf8").replace(BETWEEN_MARKS, () => text),
  );
}
