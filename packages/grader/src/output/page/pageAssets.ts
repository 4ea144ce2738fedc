import { readFile } from "node:fs/promises";
import { PACKAGE_HOME } from "../../picture/packageHome.ts";

/** The code and style of a page, as built; both stand within it. */
export interface PageAssets {
  /** Empty for a page that runs none. */
  readonly code: string;
  readonly style: string;
}

/** Where the build puts the page's code and style. */
const BUILT: URL = new URL("dist/client/", PACKAGE_HOME);

/** Code and style of a page of frames: a report, a check. */
export async function pageAssets(): Promise<PageAssets> {
  const [code, style] = await Promise.all([built("page.js"), built("style.css")]);
  return { code, style };
}

/** Code and style of the page of a class. */
export async function classAssets(): Promise<PageAssets> {
  const [code, style] = await Promise.all([built("class.js"), built("class-style.css")]);
  return { code, style };
}

/**
 * A style without code, for a page that runs none.
 *
 * @param which - the shared look alone, or the look with the parts of a class's pages or of a student's sheet
 */
export async function lookAssets(which: "look" | "class" | "sheet" = "look"): Promise<PageAssets> {
  return { code: "", style: await built(which === "class" ? "class-style.css" : `${which}.css`) };
}

async function built(name: string): Promise<string> {
  return (await readFile(new URL(name, BUILT), "utf8")).trim();
}
