import { readFile } from "node:fs/promises";
import { PACKAGE_HOME } from "../../picture/packageHome.ts";

/** The page's own code and style, as built. */
export interface PageAssets {
  readonly code: string;
  readonly style: string;
}

/** Where the build puts the page's code and style. */
const BUILT: URL = new URL("dist/client/", PACKAGE_HOME);

/** Reads the page's own code and style. */
export async function pageAssets(): Promise<PageAssets> {
  const read = (name: string): Promise<string> => readFile(new URL(name, BUILT), "utf8");
  const [code, style] = await Promise.all([read("page.js"), read("style.css")]);
  return { code: code.trim(), style: style.trim() };
}
