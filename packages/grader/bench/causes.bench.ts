// Does the cause finder name what was planted, and nothing else? Simulated frames with known causes; the tables are kept
// in docs/causes.md, between their marks: `npm run causes -- --write` renews them.
import { alignedTable, keepBetween } from "./keptText.ts";
import {
  type CauseTrials,
  causeTrials,
  HELD_OUT_FAMILIES,
  TUNING_FAMILIES,
} from "./simulation/causeTrials.ts";

const SCENES = 3600;
const SEED = 1;
const PAGE = new URL("../docs/causes.md", import.meta.url);
const MARKS = ["<!-- outcomes -->", "<!-- end of outcomes -->"] as const;

/** What is counted of a run, in the order of the table. */
const COUNTED: readonly (readonly [label: string, key: Exclude<keyof CauseTrials, "outcomes">])[] =
  [
    ["cameras, one a scene", "scenes"],
    ["frames taken", "frames"],
    ["planted cause named first", "plantedFirst"],
    ["another cause named first", "anotherFirst"],
    ["a cause named with nothing wrong", "namedWithNothingWrong"],
    ["a cause named for an edit or recomposing without a trace", "namedWithoutTrace"],
  ];

function summary(runs: readonly { readonly name: string; readonly trials: CauseTrials }[]): string {
  return alignedTable(
    ["of misses", ...runs.map(({ name }) => name)],
    COUNTED.map(([label, key]) => [
      label,
      ...runs.map(({ trials }) =>
        Number.isInteger(trials[key]) && trials[key] > 1 ? `${trials[key]}` : percent(trials[key]),
      ),
    ]),
  );
}

function confusion({ outcomes }: CauseTrials): string {
  return alignedTable(
    ["planted", "scenes", "right", "answered instead"],
    outcomes.map(({ planted, scenes, rightShare, instead }) => [
      planted,
      `${scenes}`,
      percent(rightShare),
      Object.entries(instead)
        .sort(([, a], [, b]) => b - a)
        .map(([code, count]) => `${code} (${count})`)
        .join(", ") || "-",
    ]),
  );
}

function percent(share: number): string {
  return `${(100 * share).toFixed(1)} %`;
}

const [held, tuning] = [
  await causeTrials(SCENES, SEED, HELD_OUT_FAMILIES),
  await causeTrials(SCENES / 2, SEED, TUNING_FAMILIES),
];
const text = `
${summary([
  { name: `families held out: ${HELD_OUT_FAMILIES.join(", ")}`, trials: held },
  { name: `families looked at: ${TUNING_FAMILIES.join(", ")}`, trials: tuning },
])}

On the families held out, by what was planted:

${confusion(held)}
`;
process.stdout.write(text);
if (process.argv.includes("--write")) keepBetween(PAGE, MARKS, text);
