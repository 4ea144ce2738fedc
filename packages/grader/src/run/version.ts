import { readFileSync } from "node:fs";
import { PACKAGE_HOME } from "../picture/packageHome.ts";

/** The version of this package. */
export function version(): string {
  const manifest = new URL("package.json", PACKAGE_HOME);
  return (JSON.parse(readFileSync(manifest, "utf8")) as { version: string }).version;
}
