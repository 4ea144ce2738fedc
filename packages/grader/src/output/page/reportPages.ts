import { type Content, html, type Markup } from "./markup.ts";
import type { PageAssets } from "./pageAssets.ts";
import { type PageShell, pageShell } from "./pageShell.ts";
import { pageTools } from "./pageTools.ts";
import { type Part, type Piece, pagesFolder } from "./reportFile.ts";

/** Where a frame's card is, seen from the page that opens: `#frame-3`, or with the page before it. */
export type AddressOf = (frame: { readonly id: string }) => string;

/** A report before it is known how many pages it takes. */
export interface Report {
  readonly title: string;
  /** One line beside the title. */
  readonly lead: Content;
  /** What stays in sight above everything; none where there is nothing to filter. */
  readonly bar?: Content;
  /** What stands before the cards. */
  readonly head: (addressOf: AddressOf) => Content;
  /** What stands after them. */
  readonly tail?: (addressOf: AddressOf) => Content;
  /** What the page's own code needs of the frames where their cards are on other pages. */
  readonly data?: () => Content;
  /** Ways to parts of the page. */
  readonly nav?: PageShell["nav"];
  readonly cards: readonly Card[];
}

/** A card that waits on disk. */
export interface Card {
  readonly number: number;
  readonly id: string;
  readonly piece: Piece;
}

const SKIP = { href: "#frames", text: "Skip to the frames" };

/** Cards go on one of several pages until it holds this many bytes. */
const PART = 30e6;

/**
 * The pages of a report: one that is complete in itself, or an index with the cards on pages in a folder beside it.
 *
 * @param name - file name of the page to open
 * @param mostBytes - what one page may hold
 * @returns pages by file name, that one first; they ask nothing of any network, and their own policy forbids it
 */
export function reportPages(
  { title, lead, bar = null, head, tail = () => null, data = () => null, nav = [], cards }: Report,
  assets: PageAssets,
  name: string,
  mostBytes: number,
): ReadonlyMap<string, readonly Part[]> {
  const page = (frame: PageShell, ...parts: readonly Part[]): readonly Part[] => {
    const [before, after] = pageShell(assets, { skipTo: SKIP, tools: pageTools(), ...frame });
    return [before, ...parts, after];
  };
  const here: AddressOf = ({ id }) => `#${id}`;
  const onePage = html`${bar}${head(here)}`;
  const after = html`${tail(here)}`;
  const cardBytes = cards.reduce((sum, { piece }) => sum + piece.bytes, 0);
  if (Buffer.byteLength(onePage.text) + Buffer.byteLength(after.text) + cardBytes <= mostBytes) {
    return new Map([
      [name, page({ title, lead, nav }, onePage, ...cardSection(cards), after, KEPT_LINES)],
    ]);
  }

  const folder = pagesFolder(name);
  const parts = partsOf(cards, Math.min(PART, mostBytes)).map((part, i) => ({
    part,
    file: `${String(i + 1).padStart(3, "0")}.html`,
    heading: `frames ${part[0]?.number ?? 0} to ${part.at(-1)?.number ?? 0}`,
  }));
  const fileOf = new Map(
    parts.flatMap(({ part, file }) => part.map(({ id }) => [id, file] as const)),
  );
  const address = (file: string): string => `${encodeURIComponent(folder)}/${file}`;
  const there: AddressOf = ({ id }) => `${address(fileOf.get(id) ?? "")}#${id}`;
  const index = html`<section id="frames" aria-labelledby="frames-title"><h2 id="frames-title">Frames</h2><ul>${parts.map(
    ({ file, heading }) =>
      html`<li><a href="${address(file)}">${heading.replace("f", "F")}</a></li>`,
  )}</ul></section>`;
  return new Map([
    [
      name,
      page({ title, lead, nav }, html`${bar}${head(there)}${data()}`, index, html`${tail(there)}`),
    ],
    ...parts.map(({ part, file, heading }): [string, readonly Part[]] => [
      `${folder}/${file}`,
      page(
        {
          title: `${title}, ${heading}`,
          nav: [{ href: `../${encodeURIComponent(name)}`, text: "Overview" }],
        },
        ...cardSection(part),
        KEPT_LINES,
      ),
    ]),
  ]);
}

function cardSection(cards: readonly Card[]): Part[] {
  return [
    html`<section id="frames" aria-labelledby="frames-title"><h2 id="frames-title">Frames</h2>`,
    ...cards.map(({ piece }) => piece),
    html`</section>`,
  ];
}

function partsOf(cards: readonly Card[], most: number): Card[][] {
  const parts: Card[][] = [];
  let size = Number.POSITIVE_INFINITY;
  for (const card of cards) {
    if (size + card.piece.bytes > most) {
      parts.push([]);
      size = 0;
    }
    parts.at(-1)?.push(card);
    size += card.piece.bytes;
  }
  return parts;
}

/** Where lines gather that were picked with the spot: of a brief file, or of a set file. */
const KEPT_LINES: Markup = html`<section id="picked" class="no-print" aria-labelledby="picked-title" hidden><h2 id="picked-title">Your picks</h2>
<p><label>As <select name="form"><option value="brief">lines of a brief file</option><option value="set">a set file</option></select></label></p>
<p class="use"></p>
<textarea rows="3" spellcheck="false" aria-labelledby="picked-title"></textarea>
<p><button type="button" class="copy">Copy</button> <button type="button" class="save">Save</button> <span role="status"></span></p></section>`;
