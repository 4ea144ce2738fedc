import { rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { gradeFrame } from "@tonefall/grader";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { keywordsXmp } from "../packages/exif-reader/test/marksFixture.ts";
import { newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";
import { INSIDE, taggedPicture } from "./taggedPictures.ts";

const SIZE = 8;
const MIDDLE_GREY = 0.18;
const FULL = 65535;

/** What the tally's whole numbers are worth. */
const TOLERANCE_STOPS = 1e-7;

/** A TIFF as scientific cameras write it: 16 bits of grey, each code a share of the light, no profile. */
function scientificTiff(code: number): Promise<Buffer> {
  const samples = new Uint16Array(SIZE * SIZE).fill(code);
  return sharp(samples, { raw: { width: SIZE, height: SIZE, channels: 1 } })
    .toColourspace("grey16")
    .tiff({ compression: "none" })
    .toBuffer();
}

async function fall(file: Uint8Array, transfer?: string): Promise<number> {
  const { fall } = await gradeFrame(file, transfer === undefined ? {} : { transfer });
  return fall?.stops ?? Number.NaN;
}

describe("a picture without a profile", () => {
  test("two codes are as many stops apart as their light with transfer linear", async () => {
    const [dark, light] = [await scientificTiff(4000), await scientificTiff(10_000)];
    const apart = (await fall(light, "linear")) - (await fall(dark, "linear"));
    expect(Math.abs(apart - Math.log2(2.5))).toBeLessThan(TOLERANCE_STOPS);
    // Taken as sRGB they are further apart.
    expect((await fall(light)) - (await fall(dark))).toBeGreaterThan(2);
  });

  test.each([
    ["linear", 1, "linear light, as the brief says"],
    ["gamma 2.2", 2.2, "gamma 2.2, as the brief says"],
    [" Gamma 1.8 ", 1.8, "gamma 1.8, as the brief says"],
  ])("has its codes read by transfer %s, and the row names it", async (transfer, gamma, words) => {
    const file = await scientificTiff(20_000);
    const expected = Math.log2((20_000 / FULL) ** gamma / MIDDLE_GREY);
    expect(Math.abs((await fall(file, transfer)) - expected)).toBeLessThan(TOLERANCE_STOPS);
    const { picture } = await gradeFrame(file, { transfer });
    expect(picture).toMatchObject({ colour: words, colourFrom: "brief" });
  });
});

test("what a file says of its own colour wins, and the row says so", async () => {
  const file = await sharp({
    create: { width: SIZE, height: SIZE, channels: 3, background: "#767676" },
  })
    .withIccProfile("p3")
    .png()
    .toBuffer();
  const { picture, notes } = await gradeFrame(file, { transfer: "linear" });
  expect(picture?.colourFrom).toBe("icc");
  expect(notes.map(({ code }) => code)).toContain("transfer-not-used");
  expect(await fall(file, "linear")).toBe(await fall(file));
});

test.each(["log", "gamma", "gamma 0.45", "gamma 9", "2.2"])(
  "transfer %s is refused",
  async (transfer) => {
    await expect(gradeFrame(await scientificTiff(1), { transfer })).rejects.toMatchObject({
      code: "bad-transfer",
    });
  },
);

test("gamma says the same as transfer, and may stand beside one that agrees", async () => {
  const file = await scientificTiff(20_000);
  const { picture, fall: byGamma } = await gradeFrame(file, { gamma: 2.2 });
  expect(picture?.colour).toBe("gamma 2.2, as the brief says");
  expect(byGamma?.stops).toBe(await fall(file, "gamma 2.2"));
  const both = await gradeFrame(file, { gamma: "1", transfer: "linear" });
  expect(both.fall?.stops).toBe(await fall(file, "linear"));
});

test.each([
  [{ transfer: "linear", gamma: 2.2 }, "give one of them"],
  [{ gamma: 0.45 }, "from 1 to 5"],
  [{ gamma: "log" }, '"log"'],
])("%j is refused", async (brief, says) => {
  await expect(gradeFrame(await scientificTiff(1), brief)).rejects.toMatchObject({
    code: "bad-transfer",
    message: expect.stringContaining(says),
  });
});

describe("the built command", () => {
  let folder = "";
  beforeAll(async () => {
    folder = await newFolder();
    await writeFile(join(folder, "a.tif"), await scientificTiff(20_000));
  });
  afterAll(() => rm(folder, { recursive: true }));

  const command = (...args: string[]) => runHere(args, { cwd: folder });

  /** Where the tone falls, by the row that the command writes. */
  async function fallOf(...args: string[]): Promise<number> {
    const { stdout, stderr } = await command("grade", ...args, "-f", "json");
    expect(stderr).toBe("");
    return JSON.parse(stdout).frames[0].fall.stops;
  }

  const expected = (gamma: number, code = 20_000 / FULL): number =>
    Math.log2(code ** gamma / MIDDLE_GREY);

  async function withBrief(text: string, ...args: string[]): Promise<number> {
    await writeFile(join(folder, "brief.yaml"), text);
    return fallOf("a.tif", "--brief", "brief.yaml", ...args);
  }

  test.each([
    ["transfer", '"**": { transfer: linear }', 1],
    ["transfer with a power", '"**": { transfer: gamma 2.2 }', 2.2],
    ["gamma", '"**": { gamma: 2.2 }', 2.2],
    ["both", '"**": { transfer: linear, gamma: 1 }', 1],
    ["a later line with the other key", '"**": { gamma: 2.2 }\n"a.*": { transfer: linear }', 1],
    ["a later gamma", '"**": { transfer: linear }\n"a.*": { gamma: 1.8 }', 1.8],
  ])("reads the codes by a brief file's %s", async (_what, text, gamma) => {
    expect(Math.abs((await withBrief(text)) - expected(gamma))).toBeLessThan(TOLERANCE_STOPS);
  });

  test("reads the codes by --transfer, which overrides the file", async () => {
    const typed = await fallOf("a.tif", "--transfer", "gamma 1.8");
    expect(Math.abs(typed - expected(1.8))).toBeLessThan(TOLERANCE_STOPS);
    const over = await withBrief('"**": { gamma: 2.2 }', "--transfer", "linear");
    expect(Math.abs(over - expected(1))).toBeLessThan(TOLERANCE_STOPS);
  });

  test.each([
    ["tonefall:transfer=linear", 1],
    ["tonefall:transfer=gamma 2.2", 2.2],
    ["tonefall:gamma=1.8", 1.8],
  ])("reads the codes by the keyword %s", async (keyword, gamma) => {
    await writeFile(join(folder, "k.png"), await taggedPicture(keywordsXmp(keyword)));
    const found = await fallOf("k.png");
    expect(Math.abs(found - expected(gamma, INSIDE / 255))).toBeLessThan(TOLERANCE_STOPS);
  });

  test.each([
    ['"**": { transfer: linear, gamma: 2.2 }', "brief.yaml:1:34: ", null],
    ['"**": { gamma: "2,2" }', "brief.yaml:1:16: ", 'Write: "**": { gamma: "2.2" }'],
    ['"**": { transfer: gamma2.2 }', "brief.yaml:1:19: ", 'Write: "**": { transfer: gamma 2.2 }'],
  ])("refuses %s", async (text, at, mended) => {
    await writeFile(join(folder, "brief.yaml"), text);
    const { code, stderr } = await command("grade", "a.tif", "--brief", "brief.yaml");
    expect([code, stderr.includes(at)]).toEqual([2, true]);
    expect(stderr.includes(mended ?? "give one of them")).toBe(true);
  });

  test("refuses keywords that contradict each other", async () => {
    const keywords = keywordsXmp("tonefall:transfer=linear", "tonefall:gamma=2.2");
    await writeFile(join(folder, "k.png"), await taggedPicture(keywords));
    const { code, stdout } = await command("grade", "k.png", "-f", "json");
    expect([code, JSON.parse(stdout).frames[0].failure.code]).toEqual([3, "bad-keyword"]);
  });

  test("measures the claims on a set's frame by its transfer, and the frames like it", async () => {
    await writeFile(join(folder, "b.tif"), await scientificTiff(20_000));
    await writeFile(join(folder, "c.tif"), await scientificTiff(20_000));
    const set = (c: string): string => `set: x
allow: [extra-file]
frames:
  a: { file: a.tif, transfer: linear, claims: [{ falls: { place: ${expected(1).toFixed(2)} } }] }
  b: { file: b.tif, like: a, claims: [{ falls: { place: ${expected(1).toFixed(2)} } }] }
  c: { file: c.tif, ${c}claims: [{ falls: { place: ${expected(1.4).toFixed(2)} } }] }
`;
    const checked = async (text: string): Promise<readonly string[]> => {
      await writeFile(join(folder, "set.yaml"), text);
      const { stdout } = await command("check", "set.yaml", "-f", "json");
      const rows: { kind: string; outcome: string }[] = JSON.parse(stdout).sets[0].rows;
      return rows.filter(({ kind }) => kind === "falls").map(({ outcome }) => outcome);
    };
    expect(await checked(set("transfer: gamma 1.4, "))).toEqual(["kept", "kept", "kept"]);
    // Without it the codes are sRGB's, and the claim does not hold.
    expect(await checked(set(""))).toEqual(["kept", "kept", "missed"]);
    await writeFile(join(folder, "set.yaml"), set("transfer: log, "));
    const { code, stderr } = await command("check", "set.yaml");
    expect([code, stderr.includes("set.yaml:6:31: Expected linear or gamma")]).toEqual([2, true]);
  });
});
