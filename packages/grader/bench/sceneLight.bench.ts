// How well do pictures tell light? JPEGs of simulated cameras whose light is known, graded on the scene basis; the tables
// are kept in docs/uncertainty.md, between their marks: `npm run scene-light -- --write` renews them. `--derive` derives
// the knots of `sceneLight` anew, from other cameras and the measured brackets, and with `--write` puts them into its
// source.
import { renderedOfLight, SHOULDER_STOPS, sceneLightBy } from "@tonefall/tone-core";
import { alignedTable, keepBetween } from "./keptText.ts";
import { deriveSceneLight, type ShownLight } from "./simulation/deriveSceneLight.ts";
import { MEASURED_BRACKETS, measuredSamples } from "./simulation/measuredBrackets.ts";
import { CURVE_FAMILIES } from "./simulation/renderingCurve.ts";
import { type SceneClaim, type SceneCoverage, sceneCoverage } from "./simulation/sceneCoverage.ts";
import {
  claimOf,
  type SceneTrial,
  type SceneTrialOptions,
  sceneTrials,
} from "./simulation/sceneTrials.ts";

/** Cameras to try, and stops of light that each of them takes. */
interface Trials {
  readonly cameras: number;
  readonly seed: number;
  readonly from: number;
  readonly to: number;
  readonly step: number;
}

/** Cameras of each family: those that knots are derived from, and others that they are tried on. */
const DERIVED: Trials = { cameras: 50, seed: 100, from: -8, to: 5, step: 0.25 };
const TRIED: Trials = { cameras: 40, seed: 2, from: -4.25, to: 3.25, step: 0.5 };
const MEASURED = { cameras: 50, seed: 7 };
/** A tone that misses its placement by this much did not fall where it belongs. */
const OVER_STOPS = 1.5;

const PAGE = new URL("../docs/uncertainty.md", import.meta.url);
const SOURCE = new URL("../../tone-core/src/verdict/sceneLight.ts", import.meta.url);
const WHOLE_STOPS = [-4, -3, -2, -1, 0, 1, 2, 3];

const steps = ({ from, to, step }: Trials): number[] =>
  Array.from({ length: Math.round((to - from) / step) + 1 }, (_, i) => from + i * step);

async function trials(
  of: Trials,
  more: Pick<SceneTrialOptions, "basis" | "over">,
): Promise<SceneTrial[]> {
  const list: SceneTrial[] = [];
  const { cameras, seed } = of;
  const options = { families: CURVE_FAMILIES, cameras, seed, stops: steps(of), ...more };
  for await (const trial of sceneTrials(options)) list.push(trial);
  return list;
}

async function samples(): Promise<ShownLight[]> {
  const shown = await trials(DERIVED, { basis: "rendered" });
  return [
    ...shown.flatMap(({ family, light, row: { fall } }) =>
      fall && fall.bound !== "at most" ? { family, light, shown: fall.stops } : [],
    ),
    ...measuredSamples(MEASURED.cameras, MEASURED.seed),
  ];
}

/** Claims of each family by knots that it had no part in. */
function heldOut(tried: readonly SceneTrial[], all: readonly ShownLight[]): SceneClaim[] {
  return CURVE_FAMILIES.flatMap((family) => {
    const others = all.filter((sample) => sample.family !== family);
    const knots = deriveSceneLight(others, SHOULDER_STOPS);
    return tried
      .filter((trial) => trial.family === family)
      .flatMap(({ light, row: { fall, error, clipped } }) => {
        if (!fall || !error) return [];
        const { stops, uncertainty, bound } = sceneLightBy(knots, renderedOfLight(fall.stops));
        const isClipped = (clipped?.share ?? 0) > 0.01;
        return { light, stops, uncertainty, bound: isClipped ? ("at least" as const) : bound };
      });
  });
}

function coverageTable(
  own: readonly SceneCoverage[],
  held: readonly Pick<SceneCoverage, "withinOne" | "withinTwo">[],
): string {
  const shares = (one: number | null, two: number | null): string =>
    one === null || two === null ? "-" : `${percent(one)}, ${percent(two)}`;
  const rows = own.map((row, i) => [
    row.stops > 0 ? `+${row.stops}` : `${row.stops}`.replace("-", "\u2212"),
    `${row.claims}`,
    percent(row.bounds),
    shares(row.withinOne, row.withinTwo),
    shares(row.numbersWithinOne, row.numbersWithinTwo),
    shares(held[i]?.withinOne ?? null, held[i]?.withinTwo ?? null),
  ]);
  return alignedTable(
    ["light, stops", "claims", "bounds", "hold within 1, 2 s", "numbers alone", "family held out"],
    rows,
  );
}

function bracketTable(all: readonly ShownLight[]): string {
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
    const hold = (most: number): string =>
      `${away.filter((one) => one < most).length} of ${away.length}`;
    return [name, hold(1), hold(2), `${held.length} of ${bounds.length}`];
  });
  return alignedTable(["bracket", "within 1 s", "within 2 s", "bounds that hold"], rows);
}

function percent(share: number): string {
  return `${Math.round(100 * share)} %`;
}

const write = process.argv.includes("--write");
const all = await samples();
if (process.argv.includes("--derive")) {
  const knots = deriveSceneLight(all, SHOULDER_STOPS);
  const text = knots.map((knot) => `  [${knot.join(", ")}],\n`).join("");
  process.stdout.write(text);
  if (write) keepBetween(SOURCE, ["// knots", "// end of knots"], text);
} else {
  const tried = await trials(TRIED, { basis: "scene" });
  const own = sceneCoverage(
    tried.flatMap((trial) => claimOf(trial) ?? []),
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
  if (write) keepBetween(PAGE, ["<!-- coverage -->", "<!-- end of coverage -->"], text);
}
