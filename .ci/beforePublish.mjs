// Makes the packages ready to be published by .github/workflows/publish.yml: refuses a tag that is not their version, and
// writes into each manifest the repository that it is built from, without which a registry accepts no provenance.
import { readdirSync, readFileSync, writeFileSync } from "node:fs";

const PACKAGES = new URL("../packages/", import.meta.url);
const { GITHUB_REF_TYPE, GITHUB_REF_NAME, GITHUB_SERVER_URL, GITHUB_REPOSITORY } = process.env;

const packages = readdirSync(PACKAGES).map((folder) => {
  const path = new URL(`${folder}/package.json`, PACKAGES);
  return { folder, path, manifest: JSON.parse(readFileSync(path, "utf8")) };
});

const refusal = refusalOf(packages.map(({ manifest }) => manifest.version));
if (refusal) {
  process.stderr.write(`${refusal}\n`);
  process.exitCode = 1;
} else {
  for (const { folder, path, manifest } of packages) {
    const url = `git+${GITHUB_SERVER_URL}/${GITHUB_REPOSITORY}.git`;
    const repository = { type: "git", url, directory: `packages/${folder}` };
    writeFileSync(path, `${JSON.stringify({ ...manifest, repository }, null, 2)}\n`);
  }
}

/** @param {string[]} versions */
function refusalOf(versions) {
  const [version] = versions;
  if (new Set(versions).size !== 1)
    return `The packages have different versions: ${versions.join(", ")}`;
  if (!GITHUB_SERVER_URL || !GITHUB_REPOSITORY) {
    return "Set GITHUB_SERVER_URL and GITHUB_REPOSITORY to say which repository the packages are built from";
  }
  if (GITHUB_REF_TYPE === "tag" && GITHUB_REF_NAME !== `v${version}`) {
    return `The tag is ${GITHUB_REF_NAME}, but the packages are at ${version}. Run npm run changeset -- version, or tag v${version}`;
  }
  return null;
}
