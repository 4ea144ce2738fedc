import { FRAMES } from "./frames.mjs";
import { makeFrame } from "./makeFrame.mjs";

/**
 * Writes frames of the set and returns the truth of the whole.
 *
 * @param {URL} folder - ends in a slash
 * @param {(view: string) => Promise<import("./render.mjs").Scene>} sceneOf
 * @param {{ frames: any[] }} before - truth of what was made before; what is not made now keeps it
 * @param {ReadonlySet<string>} names - of the frames to make
 */
export async function makeSet(folder, sceneOf, before, names) {
  /** @type {any[]} */
  const frames = [];
  for (const [index, plan] of FRAMES.entries()) {
    if (names.has(plan.file)) {
      const kept = frames.find(({ file }) => file === `${plan.settingsOf}.jpg`);
      const scene = await sceneOf(plan.view);
      frames.push(...(await makeFrame(folder, plan, scene, kept?.exposure.marked, index + 1)));
    } else {
      frames.push(...before.frames.filter(({ file }) => file.startsWith(`${plan.file}.`)));
    }
  }
  return rounded({
    basis: "rendered",
    middleGrey: 0.18,
    saturationStops: Math.log2(7.8),
    linearToStops: 1.5,
    frames,
  });
}

/**
 * Every number to six significant figures, so that the file reads well.
 *
 * @template T
 * @param {T} value
 * @returns {T}
 */
function rounded(value) {
  return JSON.parse(
    JSON.stringify(value, (_, item) =>
      typeof item === "number" ? Number(item.toPrecision(6)) : item,
    ),
  );
}
