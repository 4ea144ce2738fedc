// Does the cause finder name what was planted, and nothing else? Simulated frames with known causes; the table is kept
// in docs/causes.md, between its marks: `node packages/grader/bench/causes.bench.mjs --write` renews it.
import { readFileSync, writeFileSync } from "node:fs";
import { causeTrials } from "@tonefall/grader";

const SCENES = 2000;
const SEED = 1;
const PAGE = new URL("../docs/causes.md", import.meta.url);
const BETWEEN_MARKS = /(?<=<!-- outcomes -->\n)[\s\S]*(?=<!-- end of outcomes -->)/;

function table({ scenes, namedShare, outcomes }) {
  const rows = outcomes.map(({ planted, scenes, namedShare, instead, unplantedShare }) => [
    planted,
    scenes,
    percent(namedShare),
    percent(unplantedShare),
    Object.entries(instead)
      .map(([code, count]) => `${code} (${count})`)
      .join(", ") || "-",
  ]);
  const head = ["planted cause", "scenes", "named first", "named elsewhere", "named instead"];
  const widths = head.map((_, i) => Math.max(...[head, ...rows].map((row) => `${row[i]}`.length)));
  const line = (cells, fill) =>
    `| ${cells.map((c, i) => `${c}`.padEnd(widths[i], fill)).join(" | ")} |`;
  const lines = [
    line(head),
    line(
      head.map(() => "-"),
      "-",
    ),
    ...rows.map((row) => line(row)),
  ];
  const sum = `${scenes} scenes, seed ${SEED}: the planted cause was named first in ${percent(namedShare)}.`;
  return `\n${sum}\n\n${lines.join("\n")}\n`;
}

function percent(share) {
  return `${(100 * share).toFixed(1)} %`;
}

const text = table(await causeTrials(SCENES, SEED));
process.stdout.write(text);
if (process.argv.includes("--write")) {
  writeFileSync(PAGE, readFileSync(PAGE, "utf8").replace(BETWEEN_MARKS, text));
}
