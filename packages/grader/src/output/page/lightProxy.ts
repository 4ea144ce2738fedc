import { deflateSync } from "node:zlib";
import { stopsScale } from "../../judge/grade/fallOf.ts";
import { type Frame, fullScaleOf } from "../../picture/frame.ts";
import type { SeenFrame } from "../../run/seenFrame.ts";
import { type LightProxy, lightCode } from "./lightCode.ts";
import type { LightGrid } from "./lightGrid.ts";

/**
 * Packs a frame's light for the page.
 *
 * @param grid - the frame's light
 * @param seen - the frame it is of
 * @param sceneGuessed - whether the row's stops are of light, guessed from a rendering
 */
export function lightProxy(
  grid: LightGrid,
  { frame, row }: Pick<SeenFrame, "frame" | "row">,
  sceneGuessed: boolean,
): LightProxy {
  const { width, height, planes, weights, clipped, crushed } = grid;
  const kitCurve = row.kit?.used === "curve" ? neutralLight(frame) : null;
  const drawnFrom = frame.basis === "rendered" && kitCurve === null ? "picture" : "light";
  const kept =
    drawnFrom === "light" ? { planes, weights } : { planes: [luminanceOf(grid)], weights: [1] };
  const parts = [
    ...kept.planes.map((plane) => differences(plane, width)),
    Uint8Array.from(clipped, (share) => Math.round(255 * share)),
    Uint8Array.from(crushed, (share) => Math.round(255 * share)),
  ];
  return {
    width,
    height,
    weights: kept.weights,
    drawnFrom,
    toSrgb: drawnFrom === "light" ? (frame.toSrgb ?? null) : null,
    kitCurve,
    middleGrey: frame.middleGrey,
    floorStops: stopsScale(frame)(0),
    sceneGuessed,
    data: deflateSync(Buffer.concat(parts), { level: 9 }).toString("base64"),
  };
}

function luminanceOf({ planes, weights }: LightGrid): Float64Array {
  return Float64Array.from(planes[0] as Float64Array, (_, cell) =>
    planes.reduce((sum, plane, i) => sum + (weights[i] as number) * (plane[cell] as number), 0),
  );
}

/** Light of a neutral tone behind each of 256 codes, as a share of what full scale stands for. */
function neutralLight(frame: Frame): number[] {
  const { channels } = frame;
  const fullScale = channels[0] ? fullScaleOf(frame, channels[0]) : 255;
  const light = Array.from({ length: 256 }, (_, code) => {
    const at = Math.round((code * fullScale) / 255);
    return channels.reduce((sum, { luminance }) => sum + (luminance[at] as number), 0);
  });
  const full = light.at(-1) as number;
  return light.map((one) => Number((one / full).toPrecision(5)));
}

function differences(plane: Float64Array, width: number): Uint8Array {
  const codes = Int32Array.from(plane, lightCode);
  const bytes = new Uint8Array(2 * codes.length);
  for (let i = 0; i < codes.length; i++) {
    const before = i % width === 0 ? (i === 0 ? 0 : codes[i - width]) : codes[i - 1];
    const step = (codes[i] as number) - (before as number);
    const folded = step < 0 ? -2 * step - 1 : 2 * step;
    bytes[i] = folded & 255;
    bytes[codes.length + i] = folded >> 8;
  }
  return bytes;
}
