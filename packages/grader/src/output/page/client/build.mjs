// Bundles the page's own code and style into dist/client, each as one small file that a report carries within it.
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

await build({
  absWorkingDir: fileURLToPath(new URL("../../../..", import.meta.url)),
  entryPoints: {
    page: "src/output/page/client/main.ts",
    style: "src/output/page/client/style.css",
    look: "src/output/page/client/look.css",
    class: "src/output/page/client/classPage.ts",
    "class-style": "src/output/page/client/class.css",
    sheet: "src/output/page/client/sheet.css",
  },
  entryNames: "[name]",
  outdir: "dist/client",
  bundle: true,
  minify: true,
  charset: "utf8",
  format: "iife",
  target: ["es2022"],
  legalComments: "none",
  logLevel: "warning",
});
