import sharp from "sharp";
import { type Random, seededRandom } from "../packages/grader/bench/simulation/random.ts";

/** A made picture, and whether its scale was cut below full scale. */
export interface MadePicture {
  readonly bytes: Uint8Array;
  readonly cut: boolean;
}

/** A kind of picture: made pictures of it differ by their seed. */
export interface PictureKind {
  readonly name: string;
  readonly cut: boolean;
  make(random: Random): Promise<Uint8Array>;
}

/** Levels of video. */
const VIDEO = { black: 16, ends: [235, 235, 235] };

const WIDTH = 240;
const HEIGHT = 160;

/** Light of red, green and blue at a pixel, 1 where the scale ends. */
type Light = (x: number, y: number) => readonly [number, number, number];

/** Codes of red, green and blue, before they are rounded. */
type Codes = (x: number, y: number) => readonly number[];

/** Every kind that the table in docs/clipping.md counts. */
export const PICTURE_KINDS: readonly PictureKind[] = [
  {
    name: "scene cut below white, over 10 to 85 % of it",
    cut: true,
    make: (random) => cameraJpeg(random, developed(random, cutScene(random), oneEnd(random))),
  },
  {
    name: "the same, over 1 to 10 %",
    cut: true,
    make: (random) => {
      const scene = cutScene(random, 0.01, 0.1);
      return cameraJpeg(random, developed(random, scene, oneEnd(random)));
    },
  },
  {
    name: "the same, over 10 to 85 %, encoded again at quality 70 to 90",
    cut: true,
    make: (random) => savedJpeg(random, developed(random, cutScene(random), oneEnd(random))),
  },
  {
    name: "the same, over 10 to 85 %, sharpened after the cut",
    cut: true,
    make: (random) => {
      const codes = developed(random, cutScene(random), oneEnd(random));
      return cameraJpeg(random, codes, random.between(0.5, 1));
    },
  },
  {
    name: "cut at 235, video range, over 10 to 85 %",
    cut: true,
    make: (random) => cameraJpeg(random, developed(random, cutScene(random), VIDEO)),
  },
  {
    name: "channels cut at codes of their own, over 10 to 85 %",
    cut: true,
    make: (random) => {
      const end = random.between(230, 246);
      const ends = [0, 1, 2].map(() => Math.round(end + random.between(0, 8)));
      return cameraJpeg(random, developed(random, cutScene(random), { ends }));
    },
  },
  {
    name: "scene that ends below white",
    cut: false,
    make: (random) =>
      anyJpeg(random, developed(random, darkened(random), { ends: [255, 255, 255] })),
  },
  {
    name: "scene in video range",
    cut: false,
    make: (random) => anyJpeg(random, developed(random, darkened(random), VIDEO)),
  },
  {
    name: "scene cut at 255",
    cut: false,
    make: (random) =>
      anyJpeg(random, developed(random, cutScene(random), { ends: [255, 255, 255] })),
  },
  {
    name: "smooth gradient",
    cut: false,
    make: (random) => {
      const [from, to] = [random.between(20, 160), random.between(200, 254)];
      const tint = [random.between(0.97, 1), 1, random.between(0.97, 1)];
      const slope = random.between(0, 1);
      return anyJpeg(random, (x, y) => {
        const at = (slope * x) / WIDTH + ((1 - slope) * y) / HEIGHT;
        return tint.map((one) => one * (from + (to - from) * at));
      });
    },
  },
  {
    name: "white paper, evenly lit",
    cut: false,
    make: (random) => {
      const paper = random.between(215, 252);
      const [fall, noise] = [random.between(0.004, 0.05), random.between(0.4, 2)];
      const scene = uncutScene(random);
      const share = random.between(0.3, 0.95);
      return anyJpeg(random, (x, y) => {
        const radius = Math.hypot(x / WIDTH - 0.5, y / HEIGHT - 0.5);
        if (x < share * WIDTH) {
          return [0, 1, 2].map(() => paper * (1 - fall * radius) + random.normal(noise));
        }
        return scene(x, y).map((light) => 0.8 * paper * encoded(light));
      });
    },
  },
  {
    name: "graphic: panels, bars and text on a light ground",
    cut: false,
    make: (random) => {
      const ground = Math.round(random.between(225, 252));
      const panels = Array.from({ length: 8 }, () => ({
        ...box(random),
        codes: [0, 1, 2].map(() => random.between(10, 0.9 * ground)),
      }));
      return anyJpeg(random, (x, y) => {
        const panel = panels.find((one) => inside(one, x, y));
        if (panel) return panel.codes;
        const ink = y % 20 < 8 && (x * 7 + Math.floor(y / 20) * 13) % 11 < 4;
        return ink ? [30, 30, 30] : [ground, ground, ground];
      });
    },
  },
  {
    name: "toned by a long shoulder",
    cut: false,
    make: (random) => {
      const scene = uncutScene(random);
      const gain = random.between(1, 6);
      const white = random.between(235, 254);
      return anyJpeg(random, (x, y) =>
        scene(x, y).map((light) => {
          const toned = (gain * light) / (1 + gain * light);
          return white * encoded(toned) + random.normal(0.7);
        }),
      );
    },
  },
  {
    name: "low contrast",
    cut: false,
    make: (random) => {
      const scene = uncutScene(random);
      const [from, span] = [random.between(60, 150), random.between(20, 90)];
      return anyJpeg(random, (x, y) =>
        scene(x, y).map((light) => from + span * encoded(light) + random.normal(0.8)),
      );
    },
  },
  {
    name: "noise alone",
    cut: false,
    make: (random) => {
      const [middle, spread] = [random.between(180, 250), random.between(1, 30)];
      return anyJpeg(random, () => [0, 1, 2].map(() => middle + random.normal(spread)));
    },
  },
  {
    name: "one code, or a wedge of few, as PNG and TIFF",
    cut: false,
    make: async (random) => {
      const steps = Math.floor(random.between(1, 22));
      const top = random.between(195, 254);
      const tone: Codes = (x) => {
        const code = (top * (1 + Math.floor((x * steps) / WIDTH))) / steps;
        return [code, code, code];
      };
      const picture = sharp(samplesOf(tone), RAW);
      return random.chance(0.5) ? picture.png().toBuffer() : picture.tiff().toBuffer();
    },
  },
];

/** A made picture of a kind. The seed decides all of it. */
export async function madePicture(kind: PictureKind, seed: number): Promise<MadePicture> {
  return { bytes: await kind.make(seededRandom(seed)), cut: kind.cut };
}

const RAW = { raw: { width: WIDTH, height: HEIGHT, channels: 3 as const } };

function samplesOf(codes: Codes): Uint8Array {
  const samples = new Uint8ClampedArray(WIDTH * HEIGHT * 3);
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) samples.set(codes(x, y), (y * WIDTH + x) * 3);
  }
  return new Uint8Array(samples.buffer);
}

/** As cameras write it. */
function cameraJpeg(random: Random, codes: Codes, sharpenSigma = 0): Promise<Uint8Array> {
  return jpeg(random, codes, random.between(90, 97), sharpenSigma);
}

/** As programs save it. */
function savedJpeg(random: Random, codes: Codes): Promise<Uint8Array> {
  return jpeg(random, codes, random.between(70, 90));
}

/** At any quality from one to the other. */
function anyJpeg(random: Random, codes: Codes): Promise<Uint8Array> {
  return jpeg(random, codes, random.between(70, 97));
}

function jpeg(
  random: Random,
  codes: Codes,
  quality: number,
  sharpenSigma = 0,
): Promise<Uint8Array> {
  const picture = sharp(samplesOf(codes), RAW);
  return (sharpenSigma > 0 ? picture.sharpen({ sigma: sharpenSigma }) : picture)
    .jpeg({
      quality: Math.round(quality),
      chromaSubsampling: random.pick(["4:2:0", "4:4:4"]),
    })
    .toBuffer();
}

/** One end for all channels, below white. */
function oneEnd(random: Random): { readonly ends: readonly number[] } {
  const end = Math.round(random.between(225, 253));
  return { ends: [end, end, end] };
}

/** Codes of a scene: noise as a sensor has it, a curve, then the cut. */
function developed(
  random: Random,
  scene: Light,
  { black = 0, ends }: { readonly black?: number; readonly ends: readonly number[] },
): Codes {
  const noise = random.between(0.002, 0.02);
  return (x, y) =>
    scene(x, y).map((light, channel) => {
      const noisy = light + random.normal(noise * Math.sqrt(Math.max(light, 0.001)));
      const end = ends[channel] as number;
      return Math.round(black + (end - black) * encoded(Math.min(1, noisy)));
    });
}

/** sRGB's own curve. */
function encoded(light: number): number {
  const within = Math.max(0, light);
  return within <= 0.0031308 ? 12.92 * within : 1.055 * within ** (1 / 2.4) - 0.055;
}

/** A scene of which a share is lighter than the end of the scale in every channel. */
function cutScene(random: Random, least = 0.1, most = 0.85): Light {
  const scene = anyScene(random);
  const lights = sampled(scene).sort((a, b) => b - a);
  const share = least * (most / least) ** random.between(0, 1);
  const gain = 1 / Math.max(1e-3, lights[Math.floor(share * lights.length)] as number);
  return scaled(scene, gain);
}

/** A scene whose lightest part lies 0.05 to 1.5 stops below the end of the scale. */
function uncutScene(random: Random): Light {
  const scene = anyScene(random);
  const most = Math.max(...sampled(scene, true));
  return scaled(scene, 2 ** -random.between(0.05, 1.5) / most);
}

/** The same with room for its noise. */
function darkened(random: Random): Light {
  return scaled(uncutScene(random), 0.85);
}

function scaled(scene: Light, gain: number): Light {
  return (x, y) => {
    const [red, green, blue] = scene(x, y);
    return [gain * red, gain * green, gain * blue];
  };
}

/** Least, or greatest, of the channels at an even part of the pixels. */
function sampled(scene: Light, greatest = false): number[] {
  const lights: number[] = [];
  for (let y = 0; y < HEIGHT; y += 3) {
    for (let x = 0; x < WIDTH; x += 3) {
      lights.push(greatest ? Math.max(...scene(x, y)) : Math.min(...scene(x, y)));
    }
  }
  return lights;
}

/** Things of several tones and colours before a ground, each with a slope of light and a coarse and a fine texture. */
function anyScene(random: Random): Light {
  const surface = () => ({
    ...box(random),
    light: 2 ** random.between(-5, 0),
    slope: random.between(-0.9, 0.9),
    texture: random.between(0.05, 0.5),
    wave: random.between(0.02, 0.6),
    colour: random.chance(0.5)
      ? [random.between(0.97, 1), 1, random.between(0.97, 1)]
      : [random.between(0.7, 1), 1, random.between(0.7, 1)],
  });
  const ground = surface();
  const things = Array.from({ length: Math.floor(random.between(6, 16)) }, surface);
  return (x, y) => {
    const { light, slope, texture, wave, colour } =
      things.find((one) => inside(one, x, y)) ?? ground;
    const waves = Math.sin(wave * x) * Math.cos(0.7 * wave * y) + 0.4 * Math.sin(1.9 * x + 2.3 * y);
    const here =
      light * Math.max(0.02, 1 + (slope * (x + y)) / (WIDTH + HEIGHT)) * 2 ** (texture * waves);
    const [red, green, blue] = colour as [number, number, number];
    return [here * red, here * green, here * blue];
  };
}

interface Box {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

function box(random: Random): Box {
  return {
    left: random.between(-0.1, 0.9) * WIDTH,
    top: random.between(-0.1, 0.9) * HEIGHT,
    width: random.between(0.1, 0.5) * WIDTH,
    height: random.between(0.1, 0.5) * HEIGHT,
  };
}

function inside({ left, top, width, height }: Box, x: number, y: number): boolean {
  return x >= left && y >= top && x < left + width && y < top + height;
}
