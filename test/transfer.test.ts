import { gradeFrame } from "@tonefall/grader";
import sharp from "sharp";
import { describe, expect, test } from "vitest";

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
