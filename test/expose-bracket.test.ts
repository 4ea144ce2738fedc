import { readdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import sharp from "sharp";
import { describe, expect, test } from "vitest";
import { seededRandom } from "../packages/grader/bench/simulation/random.ts";
import { shiftBetween, tonePlane } from "../packages/grader/src/expose/frameShift.ts";
import {
  BLOCK_SIDE,
  lightBlocks,
  sharedBlocks,
} from "../packages/grader/src/expose/lightBlocks.ts";
import {
  type CaptureOptions,
  measureBracket,
  openBracket,
  openCapture,
} from "../packages/grader/src/index.ts";
import {
  captureOf,
  caughtOf,
  HEIGHT,
  noiseOf,
  rawFile,
  type SceneLight,
  WIDTH,
} from "./exposeCaptures.ts";
import { corpus } from "./outside.mjs";
import { newFolder } from "./pictures.ts";

/*
 * Brackets merged from some of their frames, and the light that this predicts for the others, block by block.
 */

/** What a block may be off, stops. */
const WITHIN = 0.05;

/** A frame of a bracket. */
interface Rung {
  readonly path: string;
  /** Given exposure, stops from any zero. */
  readonly given: number;
}

/** A block of a frame that was left out of the merge. */
interface HeldBlock {
  readonly block: number;
  /** How much lighter it is than predicted, stops. */
  readonly off: number;
  /** Its light, as a share of saturation. */
  readonly light: number;
}

/** How the merge of some frames predicts others, frame by frame; a shift of the frame is no part of its light. */
async function predicted(
  used: readonly Rung[],
  others: readonly Rung[],
  options: CaptureOptions = {},
): Promise<readonly (readonly HeldBlock[])[]> {
  const { picture } = await openBracket(
    used.map(({ path }) => path),
    options,
  );
  const sorted = used.map(({ given }) => given).sort((a, b) => a - b);
  const middle = sorted[(sorted.length - 1) >> 1] as number;
  const plane = tonePlane(picture);
  // However dark it is in the middle frame, the merge knows a block from the lighter frames.
  const blocks = lightBlocks({ ...picture, middleGrey: Number.MIN_VALUE });
  const frames: HeldBlock[][] = [];
  for (const { path, given } of others) {
    const { picture: own } = await openCapture(path, options);
    const step = given - middle;
    const shift = shiftBetween(plane, tonePlane(own), step);
    const scale = Math.log2(picture.middleGrey / own.middleGrey);
    const held = lightBlocks(own, shift);
    frames.push(
      sharedBlocks(blocks, held).map(({ block, stops }) => ({
        block,
        off: stops + scale - step,
        light: held.light[block] as number,
      })),
    );
  }
  return frames;
}

const shareWithin = (offs: readonly number[]): number =>
  offs.filter((off) => Math.abs(off) <= WITHIN).length / offs.length;

const medianOf = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[values.length >> 1] as number;

/** Blocks about the median of their frame: what a single shutter strays cannot be predicted. */
function aboutMedian(frames: readonly (readonly HeldBlock[])[]): number[] {
  return frames.flatMap((blocks) => {
    const offs = blocks.map(({ off }) => off);
    return offs.map((off) => off - medianOf(offs));
  });
}

describe("a raw bracket of known light, with noise, strays, a shift and something that moved", async () => {
  const folder = await newFolder();
  // Smooth in every direction, so that it is known between pixels too: 6 stops in all.
  const stopsAt = (x: number, y: number): number =>
    -1 + 2 * Math.sin(x / 23) + Math.cos(y / 17) * Math.sin((x + y) / 41);
  const scene: SceneLight = (x, y) => {
    const light = 0.18 * 2 ** stopsAt(x, y);
    return [1.2 * light, light, 0.8 * light];
  };
  const MOVED = { left: 160, top: 96, side: 48 };
  const inMoved = (x: number, y: number): boolean =>
    x >= MOVED.left && x < MOVED.left + MOVED.side && y >= MOVED.top && y < MOVED.top + MOVED.side;
  const STRAYS = [0.02, -0.02, 0.01, 0.03, -0.02, 0.01, 0];
  const random = seededRandom(21);
  const rungs = await Promise.all(
    STRAYS.map(async (stray, i): Promise<Rung> => {
      const stops = i - 3;
      const light: SceneLight =
        stops === -1
          ? (x, y) => (inMoved(x, y) ? [0.5, 0.5, 0.5] : scene(x, y))
          : stops === 1
            ? (x, y) => scene(x - 2.4, y + 1.3)
            : scene;
      const path = join(folder, `${i}.dng`);
      await writeFile(path, captureOf(light, { stops, stray, random }));
      return { path, given: stops };
    }),
  );
  const used = rungs.filter((_, i) => i % 2 === 0);
  const held = rungs.filter((_, i) => i % 2 === 1);

  /** Deviation of a block's mean by its noise alone, stops; the darkest of its pixels stands for all. */
  const noiseOfBlock = (block: number, given: number): number => {
    const across = Math.floor(WIDTH / BLOCK_SIDE);
    const x = (block % across) * BLOCK_SIDE + BLOCK_SIDE / 2;
    const y = Math.floor(block / across) * BLOCK_SIDE + BLOCK_SIDE / 2;
    const caught = caughtOf(scene(x, y)[1], 1, given);
    return noiseOf(caught) / caught / BLOCK_SIDE / Math.LN2;
  };

  test("predicts the frames that it was not merged from", async () => {
    const frames = await predicted(used, held);
    for (const [i, blocks] of frames.entries()) {
      const given = held[i]?.given as number;
      const quiet = blocks.filter(({ block }) => noiseOfBlock(block, given) < WITHIN / 3);
      const all = Math.floor(WIDTH / BLOCK_SIDE) * Math.floor(HEIGHT / BLOCK_SIDE);
      expect(quiet.length, `blocks at ${given}`).toBeGreaterThan(all / 4);
      expect(shareWithin(quiet.map(({ off }) => off)), `at ${given}`).toBeGreaterThan(0.95);
    }
  });

  test("says what it took up", async () => {
    const { notes } = await openBracket(rungs.map(({ path }) => path));
    const said = notes.filter(({ code }) => code.startsWith("bracket-"));
    expect(said.map(({ code }) => code).sort()).toEqual(["bracket-moved", "bracket-shifted"]);
    expect(said.map(({ message }) => message).join(" ")).toMatch(
      /2\.dng shows something that moved, around box:0\.42,0\.3\d,0\.1\d,0\.\d\d;.*4\.dng lies 2\.7 pixels/,
    );
  });
});

describe.skipIf(corpus.path === null)(`brackets of real cameras${corpus.skipped}`, () => {
  const root = join(corpus.path ?? "", "bracket");

  /** Frames in the order of their exposures, every second of which is merged. */
  const halves = (rungs: readonly Rung[]): readonly [readonly Rung[], readonly Rung[]][] => {
    const sorted = rungs.toSorted((a, b) => a.given - b.given);
    const even = sorted.filter((_, i) => i % 2 === 0);
    const odd = sorted.filter((_, i) => i % 2 === 1);
    return [
      [even, odd],
      [odd, even],
    ];
  };

  test.each(["450", "550", "600"])(
    "of a sensor's own values: a chart under light of %s nm",
    async (nanometres) => {
      const series = join(root, `colorchecker_${nanometres}nm`);
      const folder = await newFolder();
      const names = (await readdir(series)).map((name) => ({
        name,
        milliseconds: /_(\d+)ms_/.exec(name)?.[1] as string,
      }));
      // In the longest two most of the chart is full, and spills into the rest.
      const fit = names.filter(({ milliseconds }) => Number(milliseconds) <= 500);
      const rungs = await Promise.all(
        fit.map(async ({ name, milliseconds }): Promise<Rung> => {
          const path = join(folder, `${milliseconds}.dng`);
          await writeFile(path, await rawOfTiff(join(series, name), nanometres, milliseconds));
          return { path, given: Math.log2(Number(milliseconds)) };
        }),
      );
      for (const [used, held] of halves(rungs)) {
        const blocks = (await predicted(used, held)).flat();
        // Below, a step of its 8 bits is more than a tenth of a stop; above, the sensor bends. Light of full pixels
        // spills into their neighbours, so that a tenth of the blocks strays by more than is asked of the rest.
        const offs = blocks
          .filter(({ light }) => light > 16 / 255 && light < 0.8)
          .map(({ off }) => off);
        expect(offs.length).toBeGreaterThan(200);
        expect(shareWithin(offs)).toBeGreaterThan(0.85);
      }
    },
  );

  // What may stray by more than 0.05 stop is a shutter alone: on the first of these cameras single frames are 0.06 off.
  test.each([
    ["window_E995", 3, 9, 0.93, 0.5],
    ["room_T2i", 0, 7, 0.9, 0.9],
  ] as const)("of JPEGs: %s", async (name, first, end, aboutOwn, inAll) => {
    const pictures = (await readdir(join(root, name))).filter((file) => file.endsWith(".jpg"));
    const files = pictures.toSorted().slice(first, end);
    const { kit, frames } = await measureBracket(files.map((file) => join(root, name, file)));
    const rungs = frames.map(({ file, exposure }) => ({ path: file, given: exposure }));
    if (!kit) throw new Error("no kit");
    for (const [used, held] of halves(rungs)) {
      const blocks = await predicted(used, held, { kit: { kit, file: "kit.yaml" } });
      expect(shareWithin(aboutMedian(blocks))).toBeGreaterThan(aboutOwn);
      expect(shareWithin(blocks.flat().map(({ off }) => off))).toBeGreaterThan(inAll);
    }
  });
});

/** Row and column, in each cell of two by two, of the filter that lets through most of a light. */
const MOST_SENSITIVE: Readonly<Record<string, readonly [number, number]>> = {
  "450": [0, 1],
  "550": [0, 0],
  "600": [1, 0],
};

/** A sensor's picture of 8 bits as a raw file in which every filter lets through what the most sensitive one did. */
async function rawOfTiff(
  path: string,
  nanometres: string,
  milliseconds: string,
): Promise<Uint8Array> {
  const { data, info } = await sharp(await readFile(path))
    .extractChannel(0)
    .raw()
    .toBuffer({ resolveWithObject: true });
  const { width, height } = info;
  const [row, column] = MOST_SENSITIVE[nanometres] as readonly [number, number];
  const samples = Uint16Array.from({ length: width * height }, (_, i) => {
    const x = i % width;
    const y = Math.floor(i / width);
    return data[(y - (y % 2) + row) * width + x - (x % 2) + column] as number;
  });
  return rawFile(samples, width, height, `${milliseconds}/1000`, {
    black: 0,
    white: 255,
    neutral: [1, 1, 1],
  });
}
