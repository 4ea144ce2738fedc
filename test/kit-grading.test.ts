import { readFileSync } from "node:fs";
import { mkdir, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import {
  type CameraKit,
  gradeFrame,
  kitsBeside,
  kitText,
  measureBracket,
  type NamedKit,
  readKitFile,
} from "@tonefall/grader";
import { Ajv2020 } from "ajv/dist/2020.js";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import { RENDERINGS, type Rendering, writeBracket } from "./kitScene.ts";
import { newFolder } from "./pictures.ts";

const rendering = RENDERINGS["a steep S-curve"] as Rendering;
/** A patch of the made scene that no frame of the middle exposures clips. */
const REGION = "box:0.2083,0.3125,0.0417,0.0625";

let folder = "";
let paths: string[] = [];
let named: NamedKit;
beforeAll(async () => {
  folder = await newFolder();
  paths = await writeBracket(join(folder, "bracket"), 7, () => ({ rendering }));
  const { kit } = await measureBracket(paths);
  await mkdir(join(folder, "bracket", "kits"));
  const file = join(folder, "bracket", "kits", "test.yaml");
  await writeFile(file, kitText(kit as CameraKit));
  named = await readKitFile(file);
}, 60_000);
afterAll(() => rm(folder, { recursive: true }));

const withMiddleGrey = (code: number): NamedKit => ({
  ...named,
  kit: {
    ...named.kit,
    middleGrey: { rendered: { code, stops: 0, uncertainty: 0.08 }, sensor: null },
  },
});

describe("a kit file", () => {
  test("follows its published schema, and so does the kit as it is measured", async () => {
    const schema = JSON.parse(
      readFileSync(new URL("../packages/grader/schema/kit.schema.json", import.meta.url), "utf8"),
    );
    const validate = new Ajv2020({ allErrors: true }).compile(schema);
    for (const kit of [named.kit, (await measureBracket(paths)).kit]) {
      validate(JSON.parse(JSON.stringify(kit)));
      expect(validate.errors ?? []).toEqual([]);
    }
    expect(validate({ ...named.kit, surprise: 1 })).toBe(false);
  });

  test("is found in the folder kits beside photographs", async () => {
    expect(await kitsBeside(paths)).toEqual([named]);
    expect(await kitsBeside([join(folder, "elsewhere", "a.jpg")])).toEqual([]);
  });

  test.each([
    ["a key too many", (text: string) => `${text}surprise: 1\n`, /:\d+:1: "surprise"/],
    [
      "a value of the wrong kind",
      (text: string) => text.replace(/iso:\n {2}from: \d+/, "iso:\n  from: low"),
      /iso\.from/,
    ],
    ["a list", () => "- a\n- b", /the file/],
    ["no YAML", () => "[", /./],
  ])("with %s is refused with the place", async (_, spoiled, words) => {
    const file = join(folder, "bad.yaml");
    await writeFile(file, spoiled(kitText(named.kit)));
    await expect(readKitFile(file)).rejects.toMatchObject({
      code: "bad-kit",
      message: expect.stringMatching(words),
    });
  });

  test("whose curve falls is refused", async () => {
    const file = join(folder, "falls.yaml");
    const luminance = [
      { code: 20, stops: 1 },
      { code: 200, stops: -1 },
    ];
    await writeFile(file, kitText({ ...named.kit, curve: { luminance } }));
    await expect(readKitFile(file)).rejects.toMatchObject({
      code: "bad-kit",
      message: expect.stringMatching(/rise/),
    });
  });
});

describe("gradeFrame with a kit", () => {
  test("gives stops of light: differences are the given exposure's", async () => {
    const falls: number[] = [];
    for (const path of paths.slice(1, 6)) {
      const { basis, fall, kit } = await gradeFrame(path, { region: REGION }, { kits: [named] });
      expect([basis, kit?.used]).toEqual(["scene", "curve"]);
      falls.push(fall?.stops as number);
    }
    for (const [i, fall] of falls.slice(1).entries()) {
      expect(Math.abs(fall - (falls[i] as number) - 1)).toBeLessThan(0.05);
    }
    // As rendered, the same steps are a good deal larger: the curve is steep.
    const shown = await Promise.all(
      paths
        .slice(2, 4)
        .map(async (path) => (await gradeFrame(path, { region: REGION })).fall?.stops),
    );
    expect((shown[1] as number) - (shown[0] as number)).toBeGreaterThan(1.15);
  });

  test("puts middle grey where the kit's card was", async () => {
    const path = paths[3] as string;
    const fall = async (kit: NamedKit): Promise<number> =>
      (await gradeFrame(path, { region: REGION }, { kits: [kit] })).fall?.stops as number;
    const [at118, at100] = [await fall(withMiddleGrey(117.6)), await fall(withMiddleGrey(100))];
    expect(at118).toBeCloseTo(await fall(named), 1);
    expect(at100).toBeGreaterThan(at118 + 0.2);
  });

  test("says how well it knows: measured figures stand for the guessed ones", async () => {
    const brief = { region: REGION, place: 0, basis: "scene" as const };
    const path = paths[3] as string;
    const guess = await gradeFrame(path, brief);
    const known = await gradeFrame(path, brief, { kits: [withMiddleGrey(117.6)] });
    expect(known.error?.uncertaintyParts).toMatchObject({ middleGrey: 0.08 });
    expect(known.error?.uncertainty).toBeLessThan((guess.error?.uncertainty as number) / 3);
    expect(known.tolerance).toBeCloseTo(1 / 3, 9);
    expect(known.notes.map(({ code }) => code)).not.toContain("scene-from-rendering");
    const zeroless = await gradeFrame(path, brief, { kits: [named] });
    expect(zeroless.notes.map(({ code }) => code)).toContain("kit-without-middle-grey");
    expect(zeroless.error?.uncertainty).toBeGreaterThan(known.error?.uncertainty as number);
  });

  test("without a curve moves middle grey alone", async () => {
    const kit: NamedKit = {
      ...withMiddleGrey(100),
      kit: { ...withMiddleGrey(100).kit, curve: null },
    };
    const dark = {
      ...kit,
      kit: {
        ...kit.kit,
        middleGrey: { rendered: { code: 100, stops: -0.5, uncertainty: 0.1 }, sensor: null },
      },
    };
    const path = paths[3] as string;
    const plain = await gradeFrame(path, { region: REGION, basis: "scene" });
    const moved = await gradeFrame(path, { region: REGION }, { kits: [dark] });
    expect(moved.kit?.used).toBe("middle-grey");
    // Half a stop as rendered is less in the scene by the usual contrast of renderings.
    expect((moved.fall?.stops as number) - (plain.fall?.stops as number)).toBeCloseTo(
      0.5 / 1.33,
      2,
    );
  });

  test("does as it did where the brief asks for a rendered claim, and where there is no kit", async () => {
    const path = paths[3] as string;
    const plain = await gradeFrame(path, { region: REGION });
    expect(await gradeFrame(path, { region: REGION }, { kits: [] })).toEqual(plain);
    const asked = await gradeFrame(path, { region: REGION, basis: "rendered" }, { kits: [named] });
    expect(asked.fall).toEqual(plain.fall);
  });

  test.each([
    ["another style", { style: { ...({} as object), contrast: "hard" } }, /contrast/],
    ["other software", { software: "Editor 3" }, /software/],
    ["another camera", { camera: { make: "Tonefall", model: "Other" } }, /model/],
  ])("refuses the kit of %s with the reason", async (_, other, words) => {
    const kit = { ...named, kit: { ...named.kit, ...other } as CameraKit };
    const row = await gradeFrame(paths[3] as string, { region: REGION }, { kits: [kit] });
    expect(row.basis).toBe("rendered");
    expect(row.notes.find(({ code }) => code === "kit-refused")?.message).toMatch(words);
  });

  test("notes tones beyond the measured ones, and another sensitivity", async () => {
    const luminance = (named.kit.curve?.luminance ?? []).filter(
      ({ code }) => code > 100 && code < 140,
    );
    const kit = {
      ...named,
      kit: { ...named.kit, curve: { luminance }, iso: { from: 800, to: 1600 } },
    };
    const { notes } = await gradeFrame(paths[0] as string, { region: REGION }, { kits: [kit] });
    const codes = notes.map(({ code }) => code);
    expect(codes).toContain("beyond-measured-curve");
    expect(codes).toContain("kit-other-iso");
  });
});

describe.skipIf(!hasCorpus)(`real pictures${skippedBecause}`, () => {
  test("a patch through the kit of its own camera moves as the given exposure does", async () => {
    const file = (i: number): string => corpusFile(`bracket/room_T2i/stack_room_exp_${i}.jpg`);
    const { kit } = await measureBracket([0, 1, 2, 3, 4, 5, 6].map(file));
    const kits = [{ kit: kit as CameraKit, file: "room.yaml" }];
    const {
      0: a,
      1: b,
      2: c,
    } = await Promise.all([3, 2, 1].map((i) => gradeFrame(file(i), { region: PATCH }, { kits })));
    for (const [one, next] of [
      [a, b],
      [b, c],
    ]) {
      const given = (next?.givenExposure as number) - (one?.givenExposure as number);
      const seen = (next?.fall?.stops as number) - (one?.fall?.stops as number);
      expect(Math.abs(seen - given)).toBeLessThan(0.15);
    }
  });
});

/** The fixed patch of the recorded answers, 16 pixels at (608, 384), in a picture of this size. */
const [ROOM_WIDTH, ROOM_HEIGHT] = [640, 427];
const PATCH = `box:${608 / ROOM_WIDTH},${384 / ROOM_HEIGHT},${16 / ROOM_WIDTH},${16 / ROOM_HEIGHT}`;
