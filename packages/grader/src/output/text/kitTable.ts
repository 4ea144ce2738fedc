import type { BracketResult } from "../../calibrate/measureBracket.ts";
import type { CardResult } from "../../calibrate/measureCard.ts";
import type { PairsResult } from "../../calibrate/measurePairs.ts";
import type { CameraKit } from "../../kit/kit.ts";
import { safeText, sentenceCase, stopsText } from "../../model/words.ts";
import { type Column, type TableStyle, textTable, varyingColumns } from "./textTable.ts";
import { wrapped } from "./wrapped.ts";

/** Codes that the table of a curve names: those of a step of a stop and of the ends, on the 8-bit scale. */
const SHOWN_CODES: readonly number[] = [
  10, 20, 35, 50, 70, 90, 118, 140, 165, 190, 210, 225, 235, 245,
];

/** Characters of the longest bar in the plot of a curve. */
const BAR = 32;

/** A measured bracket as text: its frames, its curve as a small table with bars, and what is to be known. */
export function bracketTable(result: BracketResult, style: TableStyle): string {
  const { frames, kit, refusal } = result;
  const columns: Column<(typeof frames)[number]>[] = [
    { title: "Frame", cell: ({ file }) => safeText(file), shrinksTo: 10, gives: "shortens" },
    { title: "Given", cell: ({ exposure }) => stopsText(exposure), align: "right" },
    { title: "Residual", cell: ({ residual }) => residual?.toFixed(3) ?? "-", align: "right" },
    {
      title: "Outcome",
      cell: ({ included, reason }) => safeText(included ? "used" : (reason ?? "left out")),
      shrinksTo: 24,
      inHeading: inHeading("frame"),
    },
  ];
  return sections([
    ...measuredTable(columns, frames, style),
    kit?.curve ? curveTable(kit.curve, style) : "",
    kit ? kitWords(kit, style) : "",
    refusal ? wrapped(`Refused: ${safeText(refusal.message)}`, style.width) : "",
  ]);
}

/** Measured frames of a card as text. */
export function cardTable(result: CardResult, style: TableStyle): string {
  const { frames, kit, refusal, agreement, departure } = result;
  const columns: Column<(typeof frames)[number]>[] = [
    { title: "Frame", cell: ({ file }) => safeText(file), shrinksTo: 10, gives: "shortens" },
    { title: "Card", cell: ({ fall }) => stopsText(fall), align: "right" },
    { title: "Middle grey", cell: ({ middleGrey }) => stopsText(middleGrey), align: "right" },
    {
      title: "From meter",
      cell: ({ departure: own }) => (own === null ? "-" : stopsText(own)),
      align: "right",
    },
    { title: "Tilt", cell: ({ tilt }) => tilt.toFixed(2), align: "right" },
    {
      title: "Outcome",
      cell: ({ reason }) => safeText(reason ?? "used"),
      shrinksTo: 24,
      inHeading: inHeading("frame"),
    },
  ];
  return sections([
    ...measuredTable(columns, frames, style),
    [
      agreement === null
        ? ""
        : `Frames agree within ${agreement.toFixed(2)} stop (one standard deviation).`,
      departure === null
        ? ""
        : `The camera departed from its meter's aim by ${stopsText(departure)} stop.`,
      kit ? kitWords(kit, style) : "",
      refusal ? wrapped(`Refused: ${safeText(refusal.message)}`, style.width) : "",
    ]
      .filter((line) => line !== "")
      .join("\n"),
  ]);
}

/** Shots kept raw and rendered, as text. */
export function pairsTable({ frames, kit, refusal }: PairsResult, style: TableStyle): string {
  const columns: Column<(typeof frames)[number]>[] = [
    { title: "Shot", cell: ({ file }) => safeText(file), shrinksTo: 10, gives: "shortens" },
    { title: "Residual", cell: ({ residual }) => residual?.toFixed(3) ?? "-", align: "right" },
    {
      title: "Outcome",
      cell: ({ reason }) => safeText(reason ?? "used"),
      shrinksTo: 24,
      inHeading: inHeading("shot"),
    },
  ];
  return sections([
    ...measuredTable(columns, frames, style),
    kit?.curve ? curveTable(kit.curve, style) : "",
    kit ? kitWords(kit, style) : "",
    refusal ? wrapped(`Refused: ${safeText(refusal.message)}`, style.width) : "",
  ]);
}

function inHeading(what: string): (value: string) => string {
  return (value) => `Every ${what}: ${value}`;
}

/** What the measurement made of its frames, with what they have in common above. */
function measuredTable<Row>(
  all: readonly Column<Row>[],
  frames: readonly Row[],
  style: TableStyle,
): string[] {
  if (frames.length === 0) return [];
  const { columns, said } = varyingColumns(all, frames);
  return [...said, textTable(columns, frames, style)];
}

/** Curves as a table: stops by code, channel by channel, with a bar for luminance. */
function curveTable(curve: NonNullable<CameraKit["curve"]>, style: TableStyle): string {
  const names = (["luminance", "red", "green", "blue"] as const).filter((name) => curve[name]);
  const shown = SHOWN_CODES.flatMap((code) => {
    const points = names.map((name) => curve[name]?.find((point) => point.code === code) ?? null);
    return points[0] ? [{ code, points, luminance: points[0] }] : [];
  });
  const all = shown.map(({ luminance }) => luminance.stops);
  const [least, most] = [Math.min(...all), Math.max(...all)];
  const bar = (stops: number): string =>
    "=".repeat(Math.max(1, Math.round((BAR * (stops - least)) / Math.max(most - least, 1e-9))));
  return textTable<(typeof shown)[number]>(
    [
      { title: "Code", cell: ({ code }) => String(code), align: "right" },
      ...names.map(
        (name, i): Column<(typeof shown)[number]> => ({
          title: sentenceCase(name),
          cell: ({ points }) => (points[i] ? stopsText(points[i].stops) : "-"),
          align: "right",
        }),
      ),
      { title: "", cell: ({ luminance }) => bar(luminance.stops), shrinksTo: 8 },
    ],
    shown,
    style,
  );
}

/** A kit's camera in words. */
export function kitName({ camera: { make, model } }: CameraKit): string {
  // Many models carry their maker's name already.
  const parts = make && model?.startsWith(make) ? [model] : [make, model];
  const name = parts.filter((part) => part !== null).join(" ");
  return name === "" ? "a camera not named in the files" : name;
}

function kitWords(kit: CameraKit, { width }: TableStyle): string {
  const { middleGrey, uncertainty } = kit;
  const { rendered = null, sensor = null } = middleGrey ?? {};
  return [
    `Kit: ${safeText(kitName(kit))}`,
    rendered
      ? `Middle grey is rendered at code ${rendered.code.toFixed(1)}, ${stopsText(rendered.stops)} stop from 18 % of white, ± ${rendered.uncertainty.toFixed(2)}.`
      : "",
    sensor
      ? `Middle grey lies at ${(100 * sensor.shareOfSaturation).toFixed(1)} % of saturation, ± ${sensor.uncertainty.toFixed(2)} stop.`
      : "",
    uncertainty === null
      ? ""
      : `Curve: stops of light from its middle, ± ${uncertainty.toFixed(2)}.`,
  ]
    .filter((line) => line !== "")
    .map((line) => wrapped(line, width))
    .join("\n");
}

function sections(parts: readonly string[]): string {
  return `${parts.filter((part) => part !== "").join("\n\n")}\n`;
}
