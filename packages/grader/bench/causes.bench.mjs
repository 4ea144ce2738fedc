// Does the cause finder name what was planted, and nothing else? Simulated frames with known causes; the tables are kept
// in docs/causes.md, between their marks: `node packages/grader/bench/causes.bench.mjs --write` renews them.
import { readFileSync, writeFileSync } from "node:fs";
import { causeTrials, HELD_OUT_FAMILIES, TUNING_FAMILIES } from "@tonefall/grader";

const SCENES = 3600;
const SEED = 1;
const PAGE = new URL("../docs/causes.md", import.meta.url);
const BETWEEN_MARKS = /(?<=<!-- outcomes -->\n)[\s\S]*(?=<!-- end of outcomes -->)/;

function summary(runs) {
  return table(
    ["of misses", ...runs.map(({ name }) => name)],
    [
      ["cameras, one a scene", "scenes"],
      ["frames taken", "frames"],
      ["planted cause named first", "plantedFirst"],
      ["another cause named first", "anotherFirst"],
      ["a cause named with nothing wrong", "namedWithNothingWrong"],
      ["a cause named for an edit or recomposing without a trace", "namedWithoutTrace"],
    ].map(([label, key]) => [
      label,
      ...runs.map(({ trials }) =>
        Number.isInteger(trials[key]) && trials[key] > 1 ? trials[key] : percent(trials[key]),
      ),
    ]),
  );
}

function confusion({ outcomes }) {
  return table(
    ["planted", "scenes", "right", "answered instead"],
    outcomes.map(({ planted, scenes, rightShare, instead }) => [
      planted,
      scenes,
      percent(rightShare),
      Object.entries(instead)
        .sort(([, a], [, b]) => b - a)
        .map(([code, count]) => `${code} (${count})`)
        .join(", ") || "-",
    ]),
  );
}

function table(head, rows) {
  const widths = head.map((_, i) => Math.max(...[head, ...rows].map((row) => `${row[i]}`.length)));
  const line = (cells, fill) =>
    `| ${cells.map((c, i) => `${c}`.padEnd(widths[i], fill)).join(" | ")} |`;
  const rule = line(
    head.map(() => "-"),
    "-",
  );
  return [line(head), rule, ...rows.map((row) => line(row))].join("\n");
}

function percent(share) {
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
if (process.argv.includes("--write")) {
  writeFileSync(PAGE, readFileSync(PAGE, "utf8").replace(BETWEEN_MARKS, text));
}
