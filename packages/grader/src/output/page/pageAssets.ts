import { readFile } from "node:fs/promises";

/** The code and style of a page, as built; both stand within it. */
export interface PageAssets {
  /** Empty for a page that runs none. */
  readonly code: string;
  readonly style: string;
}

/** Where the build puts the page's code and style; the same seen from the sources and from the build. */
const BUILT: URL = new URL("../../../dist/client/", import.meta.url);

/** Code and style of a page of frames: a report, a check. */
export async function pageAssets(): Promise<PageAssets> {
  const [code, style] = await Promise.all([built("page.js"), built("style.css")]);
  return { code, style };
}

/**
 * The shared look alone, for a page that brings its own parts or none, and runs no code.
 *
 * @public pages of other rooms take it
 */
export async function lookAssets(): Promise<PageAssets> {
  return { code: "", style: await built("look.css") };
}

async function built(name: string): Promise<string> {
  return (await readFile(new URL(name, BUILT), "utf8")).trim();
}
