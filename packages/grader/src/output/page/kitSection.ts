import { basename } from "node:path";
import type { NamedKit } from "../../kit/kit.ts";
import { countText } from "../../model/words.ts";
import { kitName } from "../text/kitTable.ts";
import { kitFigures } from "./kitFigures.ts";
import { html, type Markup } from "./markup.ts";

/**
 * The kits that frames of a run were seen through; null where none was.
 *
 * @param files - the kit file of every frame that was seen through one
 */
export function kitSection(
  kits: readonly NamedKit[],
  files: readonly string[],
  anonymous: boolean,
): Markup | null {
  const used = kits.flatMap(({ kit, file }) => {
    const frames = files.filter((used) => used === file).length;
    return frames > 0 ? [{ kit, file, frames }] : [];
  });
  if (used.length === 0) return null;
  return html`<section id="kits" aria-labelledby="kits-title"><h2 id="kits-title">Kits</h2><p>Each camera was measured in one style, so its frames are given in stops of light.</p>${used.map(
    ({ kit, file, frames }) =>
      html`<article><h3>${kitName(kit)}</h3><p>${anonymous ? "" : `${basename(file)}: `}${countText(frames, "frame")}, measured by ${kit.measured.how.join(" and ")} from ${countText(kit.measured.frames, "frame")}.</p>${kitFigures(kit, "h4")}</article>`,
  )}</section>`;
}
