// How well do pictures tell light? JPEGs of simulated cameras whose light is known, graded on the scene basis; the tables
// are kept in docs/uncertainty.md, between their marks: `node packages/grader/bench/sceneLight.bench.mjs --write` renews
// them after a build. `--derive` derives the knots of `sceneLight` anew, from other cameras and the measured brackets, and
// with `--write` puts them into its source.
import { readFileSync, writeFileSync } from "node:fs";
import { renderedOfLight, SHOULDER_STOPS, sceneLightBy } from "@tonefall/tone-core";
import { deriveSceneLight } from "../dist/simulation/deriveSceneLight.js";
import { MEASURED_BRACKETS, measuredSamples } from "../dist/simulation/measuredBrackets.js";
import { CURVE_FAMILIES } from "../dist/simulation/renderingCurve.js";
import { sceneCoverage } from "../dist/simulation/sceneCoverage.js";
import { claimOf, sceneTrials } from "../dist/simulation/sceneTrials.js";

/** Cameras of each family: those that knots are derived from, and others that they are tried on. */
const DERIVED = { cameras: 50, seed: 100, from: -8, to: 5, step: 0.25 };
const TRIED = { cameras: 40, seed: 2, from: -4.25, to: 3.25, step: 0.5 };
const MEASURED = { cameras: 50, seed: 7 };
/** A tone that misses its placement by this much did not fall where it belongs. */
const OVER_STOPS = 1.5;

const PAGE = new URL("../docs/uncertainty.md", import.meta.url);
const SOURCE = new URL("../../tone-core/src/verdict/sceneLight.ts", import.meta.url);
const WHOLE_STOPS = [-4, -3, -2, -1, 0, 1, 2, 3];

const steps = ({ from, to, step }) =>
  Array.from({ length: Math.round((to - from) / step) + 1 }, (_, i) => from + i * step);

async function trials(of, more) {
  const list = [];
  const { cameras, seed } = of;
  const options = { families: CURVE_FAMILIES, cameras, seed, stops: steps(of), ...more };
  for await (const trial of sceneTrials(options)) list.push(trial);
  return list;
}

async function samples() {
  const shown = await trials(DERIVED, { basis: "rendered" });
  return [
    ...shown
      .filter(({ row }) => row.fall && row.fall.bound !== "at most")
      .map(({ family, light, row }) => ({ family, light, shown: row.fall.stops })),
    ...measuredSamples(MEASURED.cameras, MEASURED.seed),
  ];
}

/** Claims of each family by knots that it had no part in. */
function heldOut(tried, all) {
  return CURVE_FAMILIES.flatMap((family) => {
    const others = all.filter((sample) => sample.family !== family);
    const knots = deriveSceneLight(others, SHOULDER_STOPS);
    return tried
      .filter((trial) => trial.family === family && claimOf(trial))
      .map(({ light, row }) => {
        const { stops, uncertainty, bound } = sceneLightBy(knots, renderedOfLight(row.fall.stops));
        const clipped = row.clipped.share > 0.01 ? "at least" : null;
        return { light, stops, uncertainty, bound: clipped ?? bound };
      });
  });
}

function coverageTable(own, held) {
  const numbers = (one, two) => (one === null ? "-" : `${percent(one)}, ${percent(two)}`);
  const rows = WHOLE_STOPS.map((at, i) => [
    at > 0 ? `+${at}` : `${at}`.replace("-", "\u2212"),
    own[i].claims,
    percent(own[i].bounds),
    `${percent(own[i].withinOne)}, ${percent(own[i].withinTwo)}`,
    numbers(own[i].numbersWithinOne, own[i].numbersWithinTwo),
    `${percent(held[i].withinOne)}, ${percent(held[i].withinTwo)}`,
  ]);
  return table(
    ["light, stops", "claims", "bounds", "hold within 1, 2 s", "numbers alone", "family held out"],
    rows,
  );
}

function bracketTable(all) {
  const knots = deriveSceneLight(
    all.filter(({ family }) => family !== "measured"),
    SHOULDER_STOPS,
  );
  const rows = Object.entries(MEASURED_BRACKETS).map(([name, points]) => {
    const claims = points.map(([light, shown]) => ({ light, ...sceneLightBy(knots, shown) }));
    const away = claims
      .filter(({ bound }) => bound === null)
      .map(({ light, stops, uncertainty }) => Math.abs(stops - light) / uncertainty);
    const bounds = claims.filter(({ bound }) => bound !== null);
    const held = bounds.filter(({ light, stops, uncertainty }) => stops - uncertainty < light);
    const hold = (most) => `${away.filter((one) => one < most).length} of ${away.length}`;
    return [name, hold(1), hold(2), `${held.length} of ${bounds.length}`];
  });
  return table(["bracket", "within 1 s", "within 2 s", "bounds that hold"], rows);
}

function table(head, rows) {
  const widths = head.map((_, i) => Math.max(...[head, ...rows].map((row) => `${row[i]}`.length)));
  const line = (cells, fill) =>
    `| ${cells.map((cell, i) => `${cell}`.padEnd(widths[i], fill)).join(" | ")} |`;
  const rule = head.map(() => "-");
  return [line(head), line(rule, "-"), ...rows.map((row) => line(row))].join("\n");
}

function percent(share) {
  return `${Math.round(100 * share)} %`;
}

function between(file, mark, text) {
  const old = readFileSync(file, "utf8");
  const marked = new RegExp(`(?<=${mark[0]}\\n)[\\s\\S]*?(?= *${mark[1]})`);
  if (!marked.test(old)) throw new Error(`Expected the marks of ${mark[0]} in ${file}`);
  writeFileSync(file, old.replace(marked, text));
}

const write = process.argv.includes("--write");
const all = await samples();
if (process.argv.includes("--derive")) {
  const knots = deriveSceneLight(all, SHOULDER_STOPS);
  const text = knots.map((knot) => `  [${knot.join(", ")}],\n`).join("");
  process.stdout.write(text);
  if (write) between(SOURCE, ["// knots", "// end of knots"], text);
} else {
  const tried = await trials(TRIED, { basis: "scene" });
  const own = sceneCoverage(
    tried.map(claimOf).filter((claim) => claim !== null),
    WHOLE_STOPS,
  );
  const held = sceneCoverage(heldOut(tried, all), WHOLE_STOPS);
  const light = { ...TRIED, from: 1.25 };
  const missed = await trials(light, { basis: "scene", over: OVER_STOPS });
  const verdicts = ["within", "over", "under", "undecided"].map(
    (one) => missed.filter(({ row }) => row.verdict === one).length,
  );
  const text = [
    "",
    `${TRIED.cameras * CURVE_FAMILIES.length} cameras, ${tried.length} JPEGs, seed ${TRIED.seed}; knots from ${DERIVED.cameras * CURVE_FAMILIES.length} other cameras and three brackets.`,
    "",
    coverageTable(own, held),
    "",
    `Light subjects (+1.25 stops and more) that missed by ${OVER_STOPS} stops: ${missed.length}, of which ${verdicts[0]} were called within, ${verdicts[1]} lighter, ${verdicts[2]} darker, ${verdicts[3]} cannot tell.`,
    "",
    "The real brackets, by knots derived without them:",
    "",
    bracketTable(all),
    "",
    "",
  ].join("\n");
  process.stdout.write(text);
  if (write) between(PAGE, ["<!-- coverage -->", "<!-- end of coverage -->"], text);
}
