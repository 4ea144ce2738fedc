import type { CameraKit } from "../kit/kit.ts";
import { safeText, stopsText } from "./words.ts";

/** A frame as the page tells it. */
interface ToldFrame {
  readonly file: string;
  readonly included: boolean;
  readonly reason: string | null;
  readonly residual?: number | null;
}

/** What the page is made of: any measured kit. */
export interface KitPage {
  readonly kit: CameraKit | null;
  readonly refusal: { readonly message: string } | null;
  readonly frames: readonly ToldFrame[];
}

const WIDTH = 640;
const HEIGHT = 400;
const MARGIN = 48;

/** Codes from one drawn point to the next. */
const POINT_STEP = 20;

type Curves = NonNullable<CameraKit["curve"]>;

/** Lines told apart by their dashes as well as by their greys. */
const LINES = [
  { name: "luminance", dash: "none", stroke: "#111" },
  { name: "red", dash: "8 4", stroke: "#555" },
  { name: "green", dash: "2 4", stroke: "#555" },
  { name: "blue", dash: "10 4 2 4", stroke: "#555" },
] as const;

/** A measured kit as a page of its own: the curve with its points, its residuals frame by frame, and both as tables. */
export function kitPage({ kit, refusal, frames }: KitPage): string {
  const camera = [kit?.camera.make, kit?.camera.model].filter((part) => part).join(" ");
  const title = `Response of ${camera === "" ? "a kit" : camera}`;
  const left = frames.filter(({ included }) => !included).length;
  const summary = refusal
    ? `Refused: ${refusal.message}`
    : `Measured from ${frames.length - left} of ${frames.length} frames${
        typeof kit?.uncertainty === "number" ? `, ± ${kit.uncertainty.toFixed(2)} stop` : ""
      }.`;
  return `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${text(title)}</title>
<style>
body { font: 1rem/1.5 system-ui, sans-serif; max-width: 44rem; margin: 2rem auto; padding: 0 1rem; color: #111; background: #fff }
svg { width: 100%; height: auto }
svg text { font-size: 12px; fill: #111 }
table { border-collapse: collapse; width: 100% }
th, td { text-align: left; padding: 0.2rem 0.6rem; border-bottom: 1px solid #777; overflow-wrap: anywhere }
td.number { text-align: right; font-variant-numeric: tabular-nums }
</style>
<h1>${text(title)}</h1>
<p>${text(summary)}</p>
${kit?.curve ? plot(kit.curve, summary) + curveTable(kit.curve) : ""}
<h2>Frames</h2>
${residualPlot(frames)}
${table(
  ["Frame", "Residual, stops", "Outcome"],
  frames.map(({ file, residual, reason }) => [
    file,
    residual === null || residual === undefined ? "-" : residual.toFixed(3),
    reason ?? "used",
  ]),
)}
</html>
`;
}

function plot(curve: Curves, summary: string): string {
  const told = LINES.flatMap((line) => {
    const points = curve[line.name];
    return points ? [{ ...line, points }] : [];
  });
  const stops = told.flatMap(({ points }) => points.map((point) => point.stops));
  const low = Math.floor(Math.min(...stops));
  const high = Math.ceil(Math.max(...stops));
  const x = (code: number): number => MARGIN + ((WIDTH - 2 * MARGIN) * code) / 255;
  const y = (value: number): number =>
    HEIGHT - MARGIN - ((HEIGHT - 2 * MARGIN) * (value - low)) / (high - low);
  const marks = [
    ...Array.from({ length: high - low + 1 }, (_, i) => low + i).map(
      (value) =>
        `<line x1="${MARGIN}" x2="${WIDTH - MARGIN}" y1="${at(y(value))}" y2="${at(y(value))}" stroke="#999"/><text x="${MARGIN - 8}" y="${at(y(value) + 4)}" text-anchor="end">${value > 0 ? "+" : ""}${value}</text>`,
    ),
    ...[0, 64, 118, 192, 255].map(
      (code) =>
        `<text x="${at(x(code))}" y="${HEIGHT - MARGIN + 18}" text-anchor="middle">${code}</text>`,
    ),
  ];
  const lines = told.map(
    ({ points, dash, stroke }) =>
      `<polyline fill="none" stroke="${stroke}" stroke-width="1.5" stroke-dasharray="${dash}" points="${points.map((point) => `${at(x(point.code))},${at(y(point.stops))}`).join(" ")}"/>`,
  );
  const points = curve.luminance
    .filter(({ code }) => code % POINT_STEP === 0)
    .map((point) => {
      const half = point.uncertainty ?? 0;
      return `<line x1="${at(x(point.code))}" x2="${at(x(point.code))}" y1="${at(y(point.stops - half))}" y2="${at(y(point.stops + half))}" stroke="#111"/><circle cx="${at(x(point.code))}" cy="${at(y(point.stops))}" r="3" fill="#111"/>`;
    });
  const legend = told.map(
    ({ name, dash, stroke }, i) =>
      `<line x1="${MARGIN + 12}" x2="${MARGIN + 52}" y1="${MARGIN + 16 * i}" y2="${MARGIN + 16 * i}" stroke="${stroke}" stroke-width="1.5" stroke-dasharray="${dash}"/><text x="${MARGIN + 60}" y="${MARGIN + 16 * i + 4}">${name}</text>`,
  );
  return `<h2>Curve</h2>
<svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-labelledby="curve-title curve-summary">
<title id="curve-title">Stops of light by code</title>
<desc id="curve-summary">${text(summary)}</desc>
${[...marks, ...lines, ...points, ...legend].join("\n")}
<text x="${WIDTH / 2}" y="${HEIGHT - 8}" text-anchor="middle">code, 8-bit scale</text>
</svg>
`;
}

function curveTable(curve: Curves): string {
  const names = LINES.map(({ name }) => name).filter((name) => curve[name]);
  const rows = curve.luminance
    .filter(({ code }) => code % POINT_STEP === 0)
    .map(({ code, uncertainty }) => [
      String(code),
      ...names.map((name) => {
        const point = curve[name]?.find((other) => other.code === code);
        return point ? stopsText(point.stops) : "-";
      }),
      uncertainty === undefined ? "-" : uncertainty.toFixed(3),
    ]);
  return table(["Code", ...names, "± luminance"], rows);
}

/** Residuals of frames as bars, hollow where a frame was left out. */
function residualPlot(frames: readonly ToldFrame[]): string {
  const told = frames.flatMap(({ residual, included }) =>
    residual === null || residual === undefined ? [] : [{ residual, included }],
  );
  if (told.length === 0) return "";
  const most = Math.max(0.15, ...told.map(({ residual }) => residual));
  const height = 16 * told.length + 8;
  const bars = told.map(({ residual, included }, i) => {
    const width = Math.max(1, ((WIDTH - 2 * MARGIN) * residual) / most);
    const look = included ? 'fill="#555"' : 'fill="none" stroke="#111"';
    return `<rect x="${MARGIN}" y="${16 * i + 4}" width="${at(width)}" height="10" ${look}/><text x="${MARGIN - 8}" y="${16 * i + 13}" text-anchor="end">${i + 1}</text>`;
  });
  return `<svg viewBox="0 0 ${WIDTH} ${height}" role="img" aria-labelledby="residual-title">
<title id="residual-title">Residuals of the frames in the order of the table, hollow where a frame was left out; the widest is ${most.toFixed(2)} stop</title>
${bars.join("\n")}
</svg>`;
}

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const number = /^[-+±]?[\d.]+$/;
  const body = rows.map(
    (cells) =>
      `<tr>${cells.map((cell) => `<td${number.test(cell) ? ' class="number"' : ""}>${text(cell)}</td>`).join("")}</tr>`,
  );
  return `<table>
<thead><tr>${head.map((cell) => `<th scope="col">${text(cell)}</th>`).join("")}</tr></thead>
<tbody>
${body.join("\n")}
</tbody>
</table>`;
}

function at(value: number): string {
  return value.toFixed(1);
}

/** File names are hostile input. */
function text(value: string): string {
  return safeText(value)
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;");
}
