import { readFile } from "node:fs/promises";

/** The page's own code and style, as built. */
export interface PageAssets {
  readonly code: string;
  readonly style: string;
}

/** Where the build puts the page's code and style; the same seen from the sources and from the build. */
const BUILT: URL = new URL("../../../dist/client/", import.meta.url);

/** Reads the page's own code and style. */
export async function pageAssets(): Promise<PageAssets> {
  const read = (name: string): Promise<string> => readFile(new URL(name, BUILT), "utf8");
  const [code, style] = await Promise.all([read("page.js"), read("style.css")]);
  return { code: code.trim(), style: style.trim() };
}
