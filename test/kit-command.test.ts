import { readFile, rm } from "node:fs/promises";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { writeBracket } from "./kitScene.ts";
import { newFolder } from "./pictures.ts";
import { runHere } from "./runHere.ts";
import type { Run } from "./runTonefall.ts";

let folder = "";
/** Runs the built command in the folder of these tests. */
const tonefall = (args: readonly string[]): Promise<Run> => runHere(args, { cwd: folder });

beforeAll(async () => {
  folder = await newFolder();
  await writeBracket(join(folder, "room"), 5, () => ({}));
}, 60_000);
afterAll(() => rm(folder, { recursive: true }));

describe("tonefall kit", () => {
  test("bracket gives json: the kit's curve, and every frame with its residual", async () => {
    const { code, stdout } = await tonefall(["kit", "bracket", "room", "-f", "json"]);
    expect(code).toBe(0);
    const { kit, frames } = JSON.parse(stdout);
    expect(kit.curve.luminance[0]).toEqual({
      code: expect.any(Number),
      stops: expect.any(Number),
      uncertainty: expect.any(Number),
    });
    expect(kit.uncertainty).toBeLessThan(0.05);
    expect(frames).toHaveLength(5);
    expect(frames[0]).toMatchObject({ file: "room/frame 0.png", included: true });
    expect(frames[0].residual).toBeLessThan(0.05);
  });

  test("bracket writes a kit file that grade takes, named or from the folder kits", async () => {
    expect((await tonefall(["kit", "bracket", "room", "-f", "yaml", "-o", "room.yaml"])).code).toBe(
      0,
    );
    expect(await readFile(join(folder, "room.yaml"), "utf8")).toMatch(/^ {4}- \{ code: 20, /m);
    const { stdout } = await tonefall([
      "grade",
      "room/frame 2.png",
      "--kit",
      "room.yaml",
      "-f",
      "json",
    ]);
    const [frame] = JSON.parse(stdout).frames;
    expect([frame.basis, frame.kit.file]).toEqual(["scene", "room.yaml"]);
    const plain = await tonefall(["grade", "room/frame 2.png", "-f", "json"]);
    expect(JSON.parse(plain.stdout).frames[0].basis).toBe("rendered");
  });

  test("bracket as a table and as a page", async () => {
    const { stdout } = await tonefall(["kit", "bracket", "room"]);
    expect(stdout).toMatch(/^ *118 +[+-]?0\.0\d .*=+$/m);
    expect(stdout).toMatch(/Kit: Tonefall Test camera/);
    const page = (await tonefall(["kit", "bracket", "room", "-f", "html"])).stdout;
    // Each drawn for a wide screen and for a phone: four curves and their points, then one mark for each frame.
    const [, curves = "", residuals = "", ...more] = page.split("<figure");
    expect(more).toEqual([]);
    expect(curves.match(/<path [^>]*d="M[\d.,LCMZ-]{200,}/g)).toHaveLength(2 * 4);
    expect(residuals.match(/<circle/g)).toHaveLength(2 * 5);
    expect(page.replaceAll("http://www.w3.org/", "")).not.toMatch(/<script|https?:/);
  });

  test("frames that give no kit: the reason, no kit, exit code 1", async () => {
    const { code, stdout, stderr } = await tonefall([
      "kit",
      "bracket",
      "room/frame 0.png",
      "-f",
      "json",
    ]);
    expect(code).toBe(1);
    expect(stderr).toMatch(/3 frames or more.*\[kit-refused\]/);
    expect(JSON.parse(stdout)).toMatchObject({ kit: null, refusal: { code: "kit-refused" } });
  });

  test("--times of another count, or that are no times, are wrong usage", async () => {
    expect((await tonefall(["kit", "bracket", "room", "--times", "1/40,1/10"])).code).toBe(2);
    expect((await tonefall(["kit", "bracket", "room", "--times", "soon"])).code).toBe(2);
  });

  test("card tells middle grey, and refuses what is no card", async () => {
    const patch = ["--region", "box:0.004,0.006,0.058,0.088"];
    const card = await tonefall(["kit", "card", "room/frame 2.png", ...patch]);
    expect([card.code, card.stdout]).toEqual([
      0,
      expect.stringMatching(/Middle grey is rendered at code/),
    ]);
    expect((await tonefall(["kit", "card", "room/frame 2.png"])).code).toBe(1);
  });
});
