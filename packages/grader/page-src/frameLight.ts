import type { ToneRaster } from "@tonefall/tone-core";
import { type LightProxy, lightOfCode } from "../src/page/lightCode.ts";

/** A region's edge is laid to a quarter of a cell: every cell stands for so many pixels each way. */
const FINENESS = 4;

/** A frame's light, unpacked. */
export interface FrameLight {
  readonly proxy: LightProxy;
  /** Codes of light of every cell, a plane a colour; see `lightOfCode`. */
  readonly planes: readonly Uint16Array[];
  /** The same for `tallyTone`, each cell as 4 x 4 pixels. */
  readonly raster: ToneRaster;
  /** Clipped and black shares of every cell in 255ths, likewise. */
  readonly clipped: ToneRaster;
  readonly crushed: ToneRaster;
}

/** Unpacks what `lightProxy` has packed. */
export async function frameLight(proxy: LightProxy): Promise<FrameLight> {
  const bytes = await inflated(proxy.data);
  const { width, height, weights } = proxy;
  const cells = width * height;
  const planes = weights.map((_, i) => codesOf(bytes.subarray(2 * i * cells), width, cells));
  const ends = bytes.subarray(2 * weights.length * cells);
  const shape = { width: width * FINENESS, height: height * FINENESS };
  const shares = (from: number): ToneRaster => ({
    ...shape,
    samples: finer([ends.subarray(from, from + cells)], Uint8Array, width, height),
    stride: 1,
    channels: [channel(Float64Array.from({ length: 256 }, (_, code) => code / 255))],
  });
  return {
    proxy,
    planes,
    raster: {
      ...shape,
      samples: finer(planes, Uint16Array, width, height),
      stride: planes.length,
      channels: weights.map((weight) => channel(LIGHTS.map((light) => light * weight))),
    },
    clipped: shares(0),
    crushed: shares(cells),
  };
}

/** Light of every code. */
export const LIGHTS: Float64Array = Float64Array.from({ length: 65536 }, (_, code) =>
  lightOfCode(code),
);

/** Clipped and black pixels were counted before the picture was made small, and travel as planes of their own. */
function channel(luminance: Float64Array): ToneRaster["channels"][number] {
  return { name: "light", luminance, clipCode: Number.POSITIVE_INFINITY, crushCode: -1 };
}

async function inflated(base64: string): Promise<Uint8Array> {
  const packed = Uint8Array.from(atob(base64), (character) => character.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

function codesOf(bytes: Uint8Array, width: number, cells: number): Uint16Array {
  const codes = new Uint16Array(cells);
  for (let i = 0; i < cells; i++) {
    const folded = (bytes[i] as number) + 256 * (bytes[cells + i] as number);
    const step = folded & 1 ? -(folded + 1) / 2 : folded / 2;
    const before = i % width === 0 ? (i === 0 ? 0 : codes[i - width]) : codes[i - 1];
    codes[i] = (before as number) + step;
  }
  return codes;
}

function finer<T extends Uint8Array | Uint16Array>(
  planes: readonly T[],
  kind: new (length: number) => T,
  width: number,
  height: number,
): T {
  const samples = new kind(planes.length * width * height * FINENESS ** 2);
  let at = 0;
  for (let y = 0; y < height * FINENESS; y++) {
    const row = Math.floor(y / FINENESS) * width;
    for (let x = 0; x < width * FINENESS; x++) {
      const cell = row + Math.floor(x / FINENESS);
      for (const plane of planes) samples[at++] = plane[cell] as number;
    }
  }
  return samples;
}
