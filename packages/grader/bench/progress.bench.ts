// How often is progress recognised, and what is said falsely? Simulated classes whose students are known, and how often the
// interval of a slope holds the true one. The tables are kept in docs/progress.md, between their marks: `npm run progress -- --write` renews it.
import { alignedTable, keepBetween } from "./keptText.ts";
import { type ClassTrials, type CourseOutcome, classTrials } from "./simulation/classTrials.ts";
import { slopeCoverage, TERMS } from "./simulation/slopeCoverage.ts";

const CLASSES = 200;
const SEEDS = [1, 2, 3];
const PAGE = new URL("../docs/progress.md", import.meta.url);
const MARKS = ["<!-- trials -->", "<!-- end of trials -->"] as const;
const INTERVAL_MARKS = ["<!-- intervals -->", "<!-- end of intervals -->"] as const;

type Counted = readonly [label: string, share: (run: ClassTrials) => number];

const coursed =
  (course: CourseOutcome["course"], answer: keyof CourseOutcome["answers"]) =>
  ({ courses }: ClassTrials): number =>
    courses.find((one) => one.course === course)?.answers[answer] ?? Number.NaN;

const COUNTED: readonly Counted[] = [
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

const BY_LENGTH = [4, 5, 6, 8, 10, 12].map(
  (count): Counted => [
    `who improve, ${count} exercises handed in: called so`,
    (run) => run.improvesBy[count] ?? Number.NaN,
  ],
);

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
const runs = SEEDS.map((seed) => classTrials(CLASSES, seed));
const table = alignedTable(
  ["students", ...SEEDS.map((seed) => `seed ${seed}`)],
  [...COUNTED, ...BY_LENGTH].map(([label, share]) => [
    label,
    ...runs.map((run) => percent(share(run))),
  ]),
);
const text = `\n${CLASSES} classes of 20 students with each seed.\n\n${table}\n\n`;
const intervals = alignedTable(
  ["exercises, scatter", "exact: holds", "width, stops", "bootstrap: holds", "width, stops"],
  slopeCoverage(),
);
const coverage = `\n${TERMS} terms in each row.\n\n${intervals}\n\n`;
process.stdout.write(text + coverage);
if (process.argv.includes("--write")) {
  keepBetween(PAGE, MARKS, text);
  keepBetween(PAGE, INTERVAL_MARKS, coverage);
}
