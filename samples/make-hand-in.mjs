// Makes the sample hand-in page, reports/hand-in.html, and says where it is.

import { spawnSync } from "node:child_process";
import { mkdirSync } from "node:fs";
import { fileURLToPath } from "node:url";

/** @param {string} path - from the root of the project */
const at = (path) => fileURLToPath(new URL(`../${path}`, import.meta.url));

mkdirSync(at("reports"), { recursive: true });
const { status } = spawnSync(
  process.execPath,
  [
    at("packages/grader/dist/cli.js"),
    "handout",
    at("samples/harbour/brief.yaml"),
    ...["--title", "Harbour", "--output", at("reports/hand-in.html")],
  ],
  { stdio: "inherit" },
);
if (status === 0) {
  console.log("A hand-in page, on which students grade their own pictures: reports/hand-in.html\n");
}
process.exitCode = status ?? 70;
