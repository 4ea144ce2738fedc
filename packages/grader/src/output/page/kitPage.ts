import type { CameraKit } from "../../kit/kit.ts";
import { kitName } from "../text/kitTable.ts";
import { kitFigures } from "./kitFigures.ts";
import { html } from "./markup.ts";

/** A frame as the page tells it. */
interface ToldFrame {
  readonly file: string;
  readonly included: boolean;
  readonly reason: string | null;
  readonly residual?: number | null;
}

/** What the page is made of: any measured kit. */
export interface KitPage {
  readonly kit: CameraKit | null;
  readonly refusal: { readonly message: string } | null;
  readonly frames: readonly ToldFrame[];
}

/** A measured kit as a page of its own: the curve with its points, the residuals frame by frame, and both as tables. */
export function kitPage({ kit, refusal, frames }: KitPage): string {
  const title = `Response of ${kit ? kitName(kit) : "a kit"}`;
  const used = frames.filter(({ included }) => included).length;
  const summary = refusal
    ? `Refused: ${refusal.message}`
    : `Measured from ${used} of ${frames.length} frames${
        typeof kit?.uncertainty === "number" ? `, ± ${kit.uncertainty.toFixed(2)} stop` : ""
      }.`;
  return `${
    html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="generator" content="Tonefall">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<style>
body { font: 1rem/1.5 system-ui, sans-serif; max-width: 44rem; margin: 2rem auto; padding: 0 1rem; color: #111; background: #fff }
figure { margin: 1rem 0 }
svg { width: 100%; height: auto }
table { border-collapse: collapse; width: 100% }
caption { text-align: left; font-weight: bold }
th, td { text-align: left; padding: 0.2rem 0.6rem; border-bottom: 1px solid #777; overflow-wrap: anywhere }
</style>
</head>
<body>
<h1>${title}</h1>
<p>${summary}</p>
${kit && kitFigures(kit)}
<h2>Frames</h2>
<table><thead><tr><th scope="col">Frame</th><th scope="col">Residual, stops</th><th scope="col">Outcome</th></tr></thead><tbody>${frames.map(
      ({ file, residual, reason }) =>
        html`<tr><td>${file}</td><td>${residual?.toFixed(3) ?? "-"}</td><td>${reason ?? "used"}</td></tr>`,
    )}</tbody></table>
</body>
</html>`.text
  }\n`;
}
