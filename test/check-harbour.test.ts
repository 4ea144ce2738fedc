import { copyFile, mkdir, readFile, rename, rm, symlink, writeFile } from "node:fs/promises";
import { join, resolve } from "node:path";
import { type CheckRow, checkSet } from "@tonefall/grader";
import sharp, { type Exif, type Sharp } from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { parse, stringify } from "yaml";
import { newFolder } from "./pictures.ts";

const HARBOUR = resolve(import.meta.dirname, "../samples/harbour");

/** A set file as far as these tests take it apart. */
interface Typed {
  frames: Record<string, { file: string; like?: string }>;
  relations: object[];
  pins: Record<string, object>;
}

let harbour: Typed;
let folder = "";
beforeAll(async () => {
  harbour = parse(await readFile(join(HARBOUR, "set.yaml"), "utf8")) as Typed;
  folder = await newFolder();
});
afterAll(() => rm(folder, { recursive: true }));

/** Some frames of the harbour in a folder of their own, with their claims, pins and the relations among them. */
async function part(
  name: string,
  ids: readonly string[],
): Promise<{ set: string; file(id: string): string }> {
  const home = join(folder, name);
  await mkdir(home);
  const files = new Map<string, string>();
  for (const id of ids) {
    const { file } = harbour.frames[id] as { file: string };
    files.set(id, join(home, file));
    await copyFile(join(HARBOUR, file), join(home, file));
  }
  const keep = <T>(entries: Record<string, T>): Record<string, T> =>
    Object.fromEntries(Object.entries(entries).filter(([id]) => ids.includes(id)));
  const others = Object.keys(harbour.frames).filter((id) => !ids.includes(id));
  const relations = harbour.relations.filter((relation) => {
    const named = JSON.stringify(relation).match(/"[^"]+"/g) ?? [];
    return !named.some((word) => others.includes(word.slice(1, -1)));
  });
  const set = join(home, "set.yaml");
  await writeFile(
    set,
    stringify({ ...harbour, frames: keep(harbour.frames), pins: keep(harbour.pins), relations }),
  );
  return { set, file: (id) => files.get(id) as string };
}

/** The rows that are not kept, as `id: outcome code`. */
async function open(set: string): Promise<string[]> {
  const { sets } = await checkSet(set);
  return (sets[0]?.rows ?? [])
    .filter(({ outcome }) => outcome !== "kept")
    .map(({ id, outcome, code }: CheckRow) => `${id}: ${outcome} ${code}`);
}

/** Writes a picture over itself, as an export would: its metadata kept unless told otherwise. */
async function reexport(
  path: string,
  change: (picture: Sharp) => Sharp = (same) => same,
): Promise<void> {
  const bytes = await change(sharp(await readFile(path)).keepExif())
    .jpeg({ quality: 96, chromaSubsampling: "4:4:4" })
    .toBuffer();
  await writeFile(path, bytes);
}

/** Makes a picture lighter by so many stops of its luminance, as far as white lets it. */
async function lighten(
  path: string,
  stops: number,
  box?: { x: number; y: number; width: number; height: number },
): Promise<void> {
  const { data, info } = await sharp(await readFile(path))
    .raw()
    .toBuffer({ resolveWithObject: true });
  const { width, height, channels } = info;
  const within = box ?? { x: 0, y: 0, width: 1, height: 1 };
  for (let y = Math.floor(within.y * height); y < (within.y + within.height) * height; y++) {
    const from = (y * width + Math.floor(within.x * width)) * channels;
    const to = (y * width + Math.floor((within.x + within.width) * width)) * channels;
    for (let i = from; i < to; i++) data[i] = lighter(data[i] as number, stops);
  }
  const input = { input: data, raw: { width, height, channels } };
  await reexport(path, (old) => old.composite([input]));
}

/** An sRGB code so many stops lighter [SRGB]. */
function lighter(code: number, stops: number): number {
  const encoded = code / 255;
  const linear = encoded <= 0.04045 ? encoded / 12.92 : ((encoded + 0.055) / 1.055) ** 2.4;
  const light = Math.min(1, linear * 2 ** stops);
  return Math.round(
    255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055),
  );
}

/** Writes other metadata over a picture's own. */
function retag(path: string, exif: Exif): Promise<void> {
  return reexport(path, (same) => same.withExifMerge(exif));
}

const HULL = ["hull-metered", "hull-corrected"];
const BRACKET = [
  "bracket-2-under",
  "bracket-1-under",
  "bracket-middle",
  "bracket-1-over",
  "bracket-2-over",
];
const JETTY = ["jetty-f4", "jetty-f8", "jetty-f11"];
const RECOMPOSE = ["moss-metered", "boathouse"];
const ALIKE = [...HULL, "slate-metered", "wall-metered"];

describe("the harbour set", () => {
  test("keeps every claim, of every kind", async () => {
    const { sets, summary } = await checkSet(join(HARBOUR, "set.yaml"));
    const rows = sets[0]?.rows ?? [];
    expect(rows.filter(({ outcome }) => outcome !== "kept")).toEqual([]);
    expect(summary).toMatchObject({ missed: 0, undecided: 0, notRun: 0, failing: 0 });
    const kinds = new Set(rows.map(({ kind }) => kind));
    expect([...kinds].sort()).toEqual(
      [
        "as-shot",
        "bracket",
        "correction",
        "equivalent",
        "error",
        "falls",
        "kit",
        "pin",
        "reading",
        "recompose",
        "record",
        "same-rendering",
        "tonal-pair",
        "unclipped",
      ].sort(),
    );
  });

  test("a part of it keeps its claims too", async () => {
    const { set } = await part("untouched", ALIKE);
    expect(await open(set)).toEqual([]);
  });
});

/** What is done to the files of some frames, and the rows that it opens; others may open with them. */
interface Mutation {
  readonly name: string;
  readonly frames: readonly string[];
  readonly change: (file: (id: string) => string, set: string) => Promise<unknown>;
  readonly opens: readonly string[];
  /** Whether nothing else opens. */
  readonly alone?: true;
}

/** IFD2 is sharp's name for the Exif IFD. */
const MUTATIONS: readonly Mutation[] = [
  {
    name: "encoded again",
    frames: HULL,
    change: (file) => reexport(file("hull-metered")),
    opens: ["hull-metered/pin: missed bytes-changed"],
    alone: true,
  },
  {
    name: "exported half a stop lighter",
    frames: ["slate-metered"],
    change: (file) => lighten(file("slate-metered"), 0.5),
    opens: [
      "slate-metered/pin: missed bytes-changed",
      "slate-metered/pin-1-tone-moved: missed tone-moved",
      "slate-metered.falls: missed lighter",
      "slate-metered.reading: missed lighter",
    ],
    alone: true,
  },
  {
    name: "exported half a stop darker",
    frames: ["sail-metered"],
    change: (file) => lighten(file("sail-metered"), -0.6),
    opens: [
      "sail-metered/pin-1-tone-moved: missed tone-moved",
      "sail-metered.error: missed darker",
    ],
  },
  {
    name: "stripped of metadata",
    frames: HULL,
    change: async (file) => {
      const bytes = await sharp(await readFile(file("hull-metered")))
        .jpeg({ quality: 96 })
        .toBuffer();
      await writeFile(file("hull-metered"), bytes);
    },
    opens: [
      "hull-metered/pin: missed bytes-changed",
      "hull-metered/pin-1-metadata-lost: missed metadata-lost",
      "hull-metered/kit: undecided not-recorded",
      "hull-metered.record: undecided not-recorded",
      "hull-metered.as-shot: undecided not-recorded",
      "hull-correction/settings: undecided not-recorded",
    ],
  },
  {
    name: "turned on its side",
    frames: HULL,
    change: (file) => reexport(file("hull-metered"), (same) => same.rotate(90)),
    opens: ["hull-metered/pin-1-rotated: missed rotated"],
  },
  {
    name: "marked as turned",
    frames: HULL,
    change: (file) =>
      reexport(file("hull-metered"), (same) => same.withMetadata({ orientation: 3 })),
    opens: ["hull-metered/pin-1-rotated: missed rotated"],
  },
  {
    name: "swapped with another",
    frames: HULL,
    change: (file) => swap(file("hull-metered"), file("hull-corrected")),
    opens: [
      "hull-metered/pin: missed swapped",
      "hull-corrected/pin: missed swapped",
      "hull-metered.falls: missed darker",
      "hull-metered.error: missed darker",
      "hull-metered.record: missed record-differs",
      "hull-correction/settings: missed steps-differ",
      "hull-correction/direction: missed order-differs",
      "hull-correction/from: missed not-wrong",
      "hull-correction/to: missed lighter",
    ],
  },
  {
    name: "resized",
    frames: HULL,
    change: (file) => reexport(file("hull-metered"), (same) => same.resize(600)),
    opens: ["hull-metered/pin-1-resized: missed resized"],
  },
  {
    name: "given another profile",
    frames: HULL,
    change: (file) => reexport(file("hull-metered"), (same) => same.withIccProfile("p3")),
    opens: ["hull-metered/pin-1-profile-changed: missed profile-changed"],
  },
  {
    name: "written by an editor",
    frames: HULL,
    change: (file) => retag(file("hull-metered"), { IFD0: { Software: "An editor" } }),
    opens: [
      "hull-metered/pin-1-edit-trace: missed edit-trace",
      "hull-metered.as-shot: missed edit-trace",
    ],
  },
  {
    name: "taken with another camera",
    frames: HULL,
    change: (file) => retag(file("hull-metered"), { IFD0: { Model: "Another" } }),
    opens: ["hull-metered/kit: missed other-kit"],
  },
  {
    name: "blown",
    frames: ["window-corrected", "window-metered"],
    change: (file) => lighten(file("window-corrected"), 1.5),
    opens: ["window-corrected.unclipped: missed clipped", "window-corrected.falls: missed lighter"],
  },
  {
    name: "rungs of a bracket swapped",
    frames: BRACKET,
    change: (file) => swap(file("bracket-middle"), file("bracket-1-over")),
    opens: ["bracket/steps: missed steps-differ", "bracket/order: missed order-differs"],
  },
  {
    name: "a rung of a bracket at another aperture",
    frames: BRACKET,
    change: (file) => retag(file("bracket-1-over"), { IFD2: { FNumber: "56/10" } }),
    opens: ["bracket/control: missed other-control-varies"],
  },
  {
    name: "an equivalent at another ISO",
    frames: JETTY,
    change: (file) => retag(file("jetty-f8"), { IFD2: { ISOSpeedRatings: "200" } }),
    opens: ["equivalent/exposure: missed steps-differ"],
  },
  {
    name: "an equivalent that is the same file",
    frames: JETTY,
    change: (file) => copyFile(file("jetty-f4"), file("jetty-f8")),
    opens: ["equivalent/settings: missed same-settings"],
  },
  {
    name: "an equivalent exported lighter",
    frames: JETTY,
    change: (file) => lighten(file("jetty-f8"), 0.5),
    opens: ["equivalent/look: missed tones-differ"],
  },
  {
    name: "settings moved while recomposing",
    frames: RECOMPOSE,
    change: (file) => retag(file("boathouse"), { IFD2: { ExposureTime: "1/640" } }),
    opens: ["recompose/settings: missed settings-moved"],
  },
  {
    name: "metered elsewhere before recomposing",
    frames: RECOMPOSE,
    change: (file) => lighten(file("moss-metered"), -0.5),
    opens: ["recompose/metered: missed darker"],
  },
  {
    name: "another picture after recomposing",
    frames: RECOMPOSE,
    change: (file) => lighten(file("boathouse"), -1),
    opens: ["recompose/used: missed darker"],
  },
  {
    name: "one of three tones no longer rendered alike",
    frames: ALIKE,
    change: (file) => lighten(file("slate-metered"), 0.5),
    opens: ["same-rendering/look: missed tones-differ"],
  },
  {
    name: "two of three tones under the same settings",
    frames: ALIKE,
    change: (file) =>
      retag(file("slate-metered"), { IFD2: { ExposureTime: "1/640", FNumber: "11/1" } }),
    opens: ["same-rendering/settings: missed same-settings"],
  },
  {
    name: "one colour of a pair lighter",
    frames: ["buoy-and-net"],
    change: (file) =>
      lighten(file("buoy-and-net"), 0.6, { x: 0.14, y: 0.46, width: 0.28, height: 0.34 }),
    opens: [
      "tonal-pair/look: missed tones-differ",
      "buoy-and-net/pin-1-tone-moved: missed tone-moved",
    ],
  },
  {
    name: "missing",
    frames: HULL,
    change: (file) => rm(file("hull-metered")),
    opens: [
      "hull-metered/no-such-file: not run no-such-file",
      "hull-metered.falls: not run no-such-file",
      "hull-metered.record: not run no-such-file",
      "hull-correction/frames: not run no-such-file",
    ],
  },
  {
    name: "a pointer of Git LFS",
    frames: HULL,
    change: (file) =>
      writeFile(
        file("hull-metered"),
        `version https://git-lfs.github.com/spec/v1\noid sha256:${"0".repeat(64)}\nsize 271000\n`,
      ),
    opens: [
      "hull-metered/lfs-pointer: not run lfs-pointer",
      "hull-metered.falls: not run lfs-pointer",
    ],
  },
  {
    name: "a link to outside",
    frames: HULL,
    change: async (file) => {
      await rm(file("hull-metered"));
      await symlink(join(HARBOUR, "01-tarred-hull-as-metered.jpg"), file("hull-metered"));
    },
    opens: ["hull-metered/outside-folder: not run outside-folder"],
  },
  {
    name: "in other letters",
    frames: HULL,
    change: (file) =>
      rename(file("hull-metered"), file("hull-metered").replace("01-tarred", "01-Tarred")),
    opens: [
      "hull-metered/no-such-file: not run no-such-file",
      "hull-metered/case-clash: missed case-clash",
      "extra/01-Tarred-hull-as-metered.jpg: missed extra-file",
    ],
  },
  {
    name: "joined by one that the set does not name",
    frames: ["slate-metered"],
    change: (file) => copyFile(file("slate-metered"), join(file("slate-metered"), "../copy.jpg")),
    opens: ["extra/copy.jpg: missed extra-file"],
    alone: true,
  },
];

async function swap(a: string, b: string): Promise<void> {
  await rename(a, `${a}.aside`);
  await rename(b, a);
  await rename(`${a}.aside`, b);
}

describe("each claim, broken once", () => {
  test.each(MUTATIONS)("a file $name", async ({ name, frames, change, opens, alone }) => {
    const { set, file } = await part(name, frames);
    await change(file, set);
    const rows = await open(set);
    if (alone) expect(rows).toEqual(opens);
    else expect(rows).toEqual(expect.arrayContaining([...opens]));
  });

  test("every kind of row has been broken", async () => {
    const { sets } = await checkSet(join(HARBOUR, "set.yaml"));
    const broken = MUTATIONS.flatMap(({ opens }) => opens).map((row) => row.split(":")[0] ?? "");
    for (const { id, kind } of sets[0]?.rows ?? []) {
      const part = id.split("/")[1];
      const relation = !["pin", "kit"].includes(kind) && part !== undefined;
      const alike = relation
        ? `/${part}`
        : kind === "pin" || kind === "kit"
          ? `/${kind}`
          : `.${kind}`;
      expect(
        broken.some((other) => other.includes(alike)),
        `${id} (${kind})`,
      ).toBe(true);
    }
  });
});
