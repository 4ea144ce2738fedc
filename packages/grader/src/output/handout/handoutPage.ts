import { createHash } from "node:crypto";
import { readFile } from "node:fs/promises";
import { gzipSync } from "node:zlib";
import { PACKAGE_HOME } from "../../picture/packageHome.ts";
import { version } from "../../run/version.ts";
import { dataElement, html, Markup } from "../page/markup.ts";
import { pageShell } from "../page/pageShell.ts";
import { aboutFold, noticeTexts } from "./aboutFold.ts";
import type { Exercise } from "./exercise.ts";
import type { HandoutData } from "./handoutData.ts";
import type { NoticesByPart, PageNotice } from "./notice.ts";

/** Decoders that a page may carry beside those for JPEG, PNG and WebP. */
export const MORE_DECODERS: readonly MoreDecoder[] = ["raw", "heic"];

/** A decoder that a page may carry beside those for JPEG, PNG and WebP. */
export type MoreDecoder = "raw" | "heic";

/** How a hand-in page is made. */
export interface HandoutOptions {
  /**
   * Decoders beside those for JPEG, PNG and WebP.
   * @default none
   */
  readonly with?: readonly MoreDecoder[];
  /**
   * Keep falls and verdicts from the student: the page checks that everything is there.
   * @default false
   */
  readonly hideVerdict?: boolean;
}

/** Where the build puts the page's code, style and decoders; the same seen from the sources and from the build. */
const BUILT: URL = new URL("dist/handout/", PACKAGE_HOME);

/** Compiled decoders by name, each packed by gzip. */
const CODECS: Readonly<Record<"always" | MoreDecoder, readonly string[]>> = {
  always: ["jpeg.wasm", "webp.wasm"],
  heic: ["heic.js", "heic.wasm"],
  raw: ["raw.js", "raw.wasm"],
};

/**
 * A page on which students grade their own pictures for an exercise, and save a slip of it: one file, which opens from disk
 * and asks no network for anything.
 *
 * @example
 * ```ts
 * const { entries } = await readBriefFile("week1.yaml");
 * const page = await handoutPage(exerciseOfBriefs(entries, "Week 1"), { with: ["heic"] });
 * ```
 */
export async function handoutPage(
  exercise: Exercise,
  { with: more = [], hideVerdict = false }: HandoutOptions = {},
): Promise<string> {
  const [code, style, notices, ...codecs] = await Promise.all([
    built("handin.js"),
    built("handin.css"),
    noticesWith(more),
    ...["always" as const, ...more].flatMap((name) => CODECS[name]).map(codecElement),
  ]);
  const data: HandoutData = {
    exercise,
    exerciseSha256: createHash("sha256").update(JSON.stringify(exercise)).digest("hex"),
    tonefall: version(),
    hideVerdict,
    with: more,
  };
  const [head, foot] = pageShell(
    { code: code.trim(), style: style.trim() },
    {
      title: exercise.title,
      lead: exercise.due === null ? LEAD : html`Due ${exercise.due}. ${LEAD}`,
      skipTo: { href: "#hand-in", text: "Skip to the hand-in" },
      codecs: true,
      after: html`${dataElement("handout", data)}${codecs}${packedElement("notices", gzipSync(noticeTexts(notices)))}`,
    },
  );
  return `${head.text}${BODY.text}${aboutFold(notices).text}${foot.text}`;
}

const LEAD = "Your pictures stay on this device: the page sends nothing anywhere.";

/** The page's own code fills this in. */
const BODY: Markup = html`<noscript><p class="panel">This page measures your pictures with its own code, which does not run here. Previews of mail and chat programs show a page without it: save the file, and open it in a browser. If this is a browser, allow the page to run scripts.</p></noscript>
<div id="tasks"></div>
<div id="hand-in" tabindex="-1"></div>`;

async function codecElement(name: string): Promise<Markup> {
  return packedElement(`codec-${name}`, await readFile(new URL(`${name}.gz`, BUILT)));
}

/** Whose code the page carries, each once. */
async function noticesWith(more: readonly MoreDecoder[]): Promise<readonly PageNotice[]> {
  const byPart = JSON.parse(await built("notices.json")) as NoticesByPart;
  const all = [...byPart.page, ...more.flatMap((part) => byPart[part])];
  return [...new Map(all.map((notice) => [`${notice.within} ${notice.name}`, notice])).values()];
}

function packedElement(id: string, packed: Buffer): Markup {
  return new Markup(
    `<script type="application/octet-stream" id="${id}">${packed.toString("base64")}</script>`,
  );
}

function built(name: string): Promise<string> {
  return readFile(new URL(name, BUILT), "utf8");
}
