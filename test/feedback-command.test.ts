import { spawnSync } from "node:child_process";
import { rm } from "node:fs/promises";
import { join, resolve } from "node:path";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { flat, METERED_EXIF, newFolder } from "./pictures.ts";

const COMMAND = resolve(import.meta.dirname, "../packages/grader/dist/cli.js");

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

/** Runs the built command as a person would. */
function grade(...args: readonly string[]): {
  code: number | null;
  stdout: string;
  stderr: string;
} {
  const { status, stdout, stderr } = spawnSync(process.execPath, [COMMAND, "grade", ...args], {
    cwd: folder,
    encoding: "utf8",
    env: { ...process.env, NO_COLOR: "1" },
  });
  return { code: status, stdout, stderr };
}

describe("tonefall grade --voice", () => {
  test("tells each frame under the table, within 80 columns", () => {
    const { code, stdout } = grade(".", "--place", "snow", "--voice", "student");
    expect(code).toBe(0);
    expect(stdout).toContain("In words");
    const prose = stdout.replace(/\s+/g, " ");
    expect(prose).toContain("the meter read mostly light tones");
    expect(prose).toMatch(/set compensation towards \+, by 1 1\/3 stops/);
    expect(prose).toContain("The cause is not known from the file");
    // Snow touches the sun; the caution stands once.
    expect(prose.match(/Never look at the sun/g)).toHaveLength(1);
    for (const line of stdout.split("\n")) expect([...line].length, line).toBeLessThanOrEqual(80);
    expect(stdout).not.toContain("\u202e");
  });

  test("in json the words stand with their voice and causes; without it they are left out", () => {
    const args = ["coat.jpg", "--place", "-2", "--format", "json"];
    const [spoken] = JSON.parse(grade(...args, "--voice", "teacher").stdout).frames;
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
    const [silent] = JSON.parse(grade(...args).stdout).frames;
    expect(silent).not.toHaveProperty("feedback");
    expect(silent.causes[0].code).toBe("followed-meter-on-dark");
  });

  test("csv and markdown gain their columns only when asked", () => {
    const args = ["coat.jpg", "--place=-2", "--format"];
    const rows = (voice: string): Record<string, string>[] =>
      parse(grade(...args, "csv", "--voice", voice).stdout, { columns: true });
    expect(rows("student")[0]).toMatchObject({
      causes: "followed-meter-on-dark",
      feedback: expect.stringContaining("towards -, by 2 stops"),
      cautions: "",
    });
    expect(rows("none")[0]).not.toHaveProperty("feedback");
    expect(grade(...args, "markdown", "--voice", "student").stdout).toContain("In words");
    expect(grade(...args, "markdown").stdout).not.toContain("In words");
  });

  test("the table says no word unless asked", () => {
    expect(grade("coat.jpg", "--place=-2").stdout).toBe(
      grade("coat.jpg", "--place=-2", "--voice", "none").stdout,
    );
    expect(grade("coat.jpg", "--place=-2").stdout).not.toContain("In words");
  });

  test("refuses a voice that it does not have", () => {
    const { code, stdout, stderr } = grade("coat.jpg", "--voice", "judge");
    expect([code, stdout]).toEqual([2, ""]);
    expect(stderr).toContain("student");
  });
});
