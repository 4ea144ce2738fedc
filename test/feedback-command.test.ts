import { rm } from "node:fs/promises";
import { join } from "node:path";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { flat, METERED_EXIF, newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";
import type { Run } from "./runTonefall.ts";

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
  const metered = {
    ...METERED_EXIF,
    IFD2: { ...METERED_EXIF["IFD2"], ExposureBiasValue: "0/1" },
  };
  await flat(118).withExif(metered).jpeg({ quality: 100 }).toFile(join(folder, "coat.jpg"));
  await flat(118).jpeg({ quality: 100 }).toFile(join(folder, "bare\u202ename.jpg"));
});
afterAll(() => rm(folder, { recursive: true }));

/** Runs `tonefall grade` in the folder of these tests. */
const grade = (...args: readonly string[]): Promise<Run> =>
  runHere(["grade", ...args], { cwd: folder });

describe("tonefall grade --voice", () => {
  test("gives each frame its words, within 80 columns", async () => {
    const { code, stdout } = await grade(".", "--place", "snow", "--voice", "student");
    expect(code).toBe(0);
    expect(stdout).toMatch(/^Grades in words for the student\n\n/);
    const prose = stdout.replace(/\s+/g, " ");
    expect(prose).toContain("the meter read mostly light tones");
    expect(prose).toMatch(/move the compensation towards \+ by 1 1\/3 stops/);
    expect(prose).toContain("the file does not show why");
    // Snow touches the sun; the caution stands once.
    expect(prose.match(/Never look at the sun/g)).toHaveLength(1);
    for (const line of stdout.split("\n")) expect([...line].length, line).toBeLessThanOrEqual(80);
    expect(stdout).not.toContain("\u202e");
  });

  test("in json the words stand with their voice and causes; without it they are left out", async () => {
    const args = ["coat.jpg", "--place", "-2", "--format", "json"];
    const [spoken] = JSON.parse((await grade(...args, "--voice", "teacher")).stdout).frames;
    expect(spoken.feedback).toMatchObject({
      voice: "teacher",
      causes: ["followed-meter-on-dark"],
      strength: "strong",
      cautions: [],
    });
    expect(spoken.next.ways.map(({ setting }: { setting: string }) => setting)).toEqual([
      "aperture",
      "shutter",
      "iso",
    ]);
    const [silent] = JSON.parse((await grade(...args)).stdout).frames;
    expect(silent).not.toHaveProperty("feedback");
    expect(silent.causes[0].code).toBe("followed-meter-on-dark");
  });

  test("csv and markdown gain their columns only when asked", async () => {
    const args = ["coat.jpg", "--place=-2", "--format"];
    const rows = async (voice: string): Promise<Record<string, string>[]> =>
      parse((await grade(...args, "csv", "--columns", "all", "--voice", voice)).stdout, {
        columns: true,
      });
    expect((await rows("student"))[0]).toMatchObject({
      causes: "followed-meter-on-dark",
      feedback: expect.stringContaining("towards - by 2 stops"),
      cautions: "",
    });
    expect((await rows("none"))[0]).not.toHaveProperty("feedback");
    expect((await grade(...args, "markdown", "--voice", "student")).stdout).toContain("In words");
    expect((await grade(...args, "markdown")).stdout).not.toContain("In words");
  });

  test("the table says no word unless asked", async () => {
    expect((await grade("coat.jpg", "--place=-2")).stdout).toBe(
      (await grade("coat.jpg", "--place=-2", "--voice", "none")).stdout,
    );
    expect((await grade("coat.jpg", "--place=-2")).stdout).not.toContain("Grades in words");
  });

  test("refuses a voice that it does not have", async () => {
    const { code, stdout, stderr } = await grade("coat.jpg", "--voice", "judge");
    expect([code, stdout]).toEqual([2, ""]);
    expect(stderr).toContain("student");
  });
});
