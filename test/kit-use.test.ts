import { mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import {
  type CameraKit,
  gradeFrame,
  kitText,
  measureBracket,
  meterFrame,
  type NamedKit,
  readKitFile,
} from "@tonefall/grader";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { RENDERINGS, type Rendering, writeBracket } from "./kitScene.ts";
import { newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";
import type { Run } from "./runTonefall.ts";

const rendering = RENDERINGS["a steep S-curve"] as Rendering;
/** A patch of the made scene that no frame of the middle exposures clips. */
const REGION = "box:0.2083,0.3125,0.0417,0.0625";
const STYLE = { Contrast: "0", Saturation: "2", Sharpness: "1", SceneCaptureType: "1" };

let folder = "";
let paths: string[] = [];
let named: NamedKit;
const tonefall = (args: readonly string[]): Promise<Run> => runHere(args, { cwd: folder });
const rowsOf = async (args: readonly string[]) =>
  JSON.parse((await tonefall([...args, "-f", "json"])).stdout).frames;

beforeAll(async () => {
  folder = await newFolder();
  const exif = { ...STYLE, MeteringMode: "2", ExposureProgram: "2", ExposureBiasValue: "0/1" };
  paths = await writeBracket(join(folder, "shoot"), 5, () => ({ rendering, exif }));
  const { kit } = await measureBracket(paths);
  await mkdir(join(folder, "sets", "kits"), { recursive: true });
  const file = join(folder, "sets", "kits", "mine.yaml");
  await writeFile(file, kitText(kit as CameraKit));
  named = await readKitFile(file);
}, 60_000);
afterAll(() => rm(folder, { recursive: true }));

describe("a kit's style", () => {
  test("holds what standard Exif says of it", () => {
    expect(named.kit.style).toEqual({
      contrast: "normal",
      saturation: "high",
      sharpness: "soft",
      pictureMode: "landscape",
      processing: null,
    });
  });

  test.each([
    ["contrast", "hard", "contrast"],
    ["saturation", "low", "saturation"],
    ["sharpness", "hard", "sharpness"],
    ["pictureMode", "portrait", "picture mode"],
    ["processing", "custom", "special processing"],
  ])("that differs in %s is refused with the reason", async (key, value, words) => {
    const kit = { ...named.kit, style: { ...named.kit.style, [key]: value } };
    const row = await gradeFrame(paths[2] as string, {}, { kits: [{ ...named, kit }] });
    expect([row.basis, row.kit]).toEqual(["rendered", undefined]);
    const note = row.notes.find(({ code }) => code === "kit-refused");
    expect(note?.message).toContain(words);
    expect(note?.message).toContain(`"${value}"`);
  });

  test("of which a key was left out is not compared there", async () => {
    const { saturation: _, ...style } = named.kit.style;
    const kits = [{ ...named, kit: { ...named.kit, style } }];
    expect((await gradeFrame(paths[2] as string, {}, { kits })).kit?.used).toBe("curve");
  });
});

describe("metering through a kit", () => {
  test("reads stops of light: a pattern's reading moves as the given exposure does", async () => {
    const read = async (path: string, kits: readonly NamedKit[]): Promise<number> => {
      const { readings } = await meterFrame(path, { region: REGION }, { kits });
      return readings.find(({ pattern }) => pattern === "spot")?.stops as number;
    };
    // Two frames in which the spot clips nowhere.
    const [dark, light] = [paths[0] as string, paths[1] as string];
    const step = (await read(light, [named])) - (await read(dark, [named]));
    expect(Math.abs(step - 1)).toBeLessThan(0.05);
    const shown = (await read(light, [])) - (await read(dark, []));
    expect(Math.abs(shown - 1)).toBeGreaterThan(0.05);
  });

  test("by the command, with --kit and with a folder kits beside the frames", async () => {
    const asked = ["meter", "shoot/frame 2.png", "--region", REGION];
    const [plain] = await rowsOf(asked);
    const [through] = await rowsOf([...asked, "--kit", "sets/kits/mine.yaml"]);
    expect([plain.basis, through.basis]).toEqual(["rendered", "scene"]);
    expect(through.kit).toMatchObject({ file: "sets/kits/mine.yaml", used: "curve" });
    await mkdir(join(folder, "shoot", "kits"));
    await writeFile(join(folder, "shoot", "kits", "mine.yaml"), kitText(named.kit));
    const [beside] = await rowsOf(asked);
    expect(beside.readings).toEqual(through.readings);
    await rm(join(folder, "shoot", "kits"), { recursive: true });
  });
});

describe("tonefall check", () => {
  const check = async (
    kits: string,
    basis: string,
    place: number,
    file = "a.png",
  ): Promise<{
    code: number | null;
    rows: { code: string; outcome: string; sentence: string }[];
  }> => {
    const text = `set: x\n${kits}frames:\n  a: { file: ${file}, ${kits === "" ? "" : "kit: k, "}claims: [{ falls: { region: "${REGION}", place: ${place}, tolerance: 0.3${basis} } }] }\n`;
    await writeFile(join(folder, "sets", "set.yaml"), text);
    await writeFile(join(folder, "sets", "a.png"), await readFile(paths[1] as string));
    const { code, stdout } = await tonefall(["check", "sets/set.yaml", "-f", "json"]);
    const rows = JSON.parse(stdout).sets[0].rows;
    return { code, rows: rows.filter(({ kind }: { kind: string }) => kind === "falls") };
  };
  const KIT = "kits: { k: { measured: kits/mine.yaml } }\n";
  const fallOf = async (kits: readonly NamedKit[]): Promise<number> =>
    (await gradeFrame(paths[1] as string, { region: REGION }, { kits })).fall?.stops as number;

  test("takes a kit only where the set names its file, and only on the scene basis", async () => {
    const [shown, light] = [await fallOf([]), await fallOf([named])];
    expect(Math.abs(shown - light)).toBeGreaterThan(0.3);
    // The folder kits lies beside the picture, and counts for nothing.
    const plain = await check("", "", shown);
    expect([plain.code, plain.rows[0]?.outcome]).toEqual([0, "kept"]);
    // Named, it leaves the claims on the picture itself as they are.
    const rendered = await check(KIT, "", shown);
    const told = ({ rows }: typeof plain) =>
      rows.map(({ outcome, sentence }) => [outcome, sentence]);
    expect([rendered.code, told(rendered)]).toEqual([0, told(plain)]);
    const scene = await check(KIT, ", basis: scene", light);
    expect(scene.rows[0]?.sentence).toContain("kits/mine.yaml");
    expect(scene.rows[0]?.sentence).toContain(light.toFixed(2));
  });

  test("fails a claim whose kit is not the frame's, with the reason", async () => {
    const other = { ...named.kit, software: "Editor 3" };
    await writeFile(join(folder, "sets", "kits", "other.yaml"), kitText(other));
    const { code, rows } = await check(KIT.replace("mine", "other"), ", basis: scene", 0);
    expect(code).not.toBe(0);
    expect(rows[0]).toMatchObject({ outcome: "not run", code: "kit-refused" });
    expect(rows[0]?.sentence).toContain("Editor 3");
  });

  test("refuses a set whose kit file is missing or lies outside its folder", async () => {
    await writeFile(
      join(folder, "sets", "set.yaml"),
      "set: x\nkits: { k: { measured: kits/none.yaml } }\nframes: { a: { file: a.png, kit: k } }\n",
    );
    expect((await tonefall(["check", "sets/set.yaml"])).code).toBe(2);
    await writeFile(
      join(folder, "sets", "set.yaml"),
      "set: x\nkits: { k: { measured: ../mine.yaml } }\nframes: { a: { file: a.png, kit: k } }\n",
    );
    const { code, stderr } = await tonefall(["check", "sets/set.yaml"]);
    expect([code, stderr]).toEqual([2, expect.stringContaining("within the set's folder")]);
  });
});

describe("a report page", () => {
  test("draws the kits that frames were seen through, and none otherwise", async () => {
    const report = async (more: readonly string[]): Promise<string> => {
      const asked = ["grade", "shoot", "--report", "page.html", "--pictures", "none", ...more];
      expect((await tonefall(asked)).code).toBe(0);
      return readFile(join(folder, "page.html"), "utf8");
    };
    const through = await report(["--kit", "sets/kits/mine.yaml"]);
    const section = /<section id="kits".*?<\/section>/s.exec(through)?.[0] ?? "";
    expect(section).toContain("Tonefall Test camera");
    expect(section).toContain("5 frames, measured by bracket");
    // Curve and residuals, each drawn once for wide screens and once for phones.
    expect(section.match(/<svg/g)).toHaveLength(4);
    // One point for each 20 codes, and one for each frame of the bracket.
    expect(section.match(/<circle/g)?.length).toBeGreaterThan(12);
    expect(section.match(/<table/g)).toHaveLength(2);
    expect(await report([])).not.toContain('id="kits"');
    expect(await report(["--kit", "sets/kits/mine.yaml", "--anonymous"])).not.toContain(
      "mine.yaml",
    );
  });
});
