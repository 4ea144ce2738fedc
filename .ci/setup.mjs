// Installs the packages that the lock file names, in one line of progress; whatever pnpm says is shown only when it fails.
import { pinnedPnpm } from "./pinnedPnpm.mjs";

process.stderr.write("Installing packages; the first time this takes a minute or two.\n");
const { status, stdout, stderr } = pinnedPnpm(
  ["install", "--frozen-lockfile", "--reporter=append-only"],
  { encoding: "utf8", stdio: ["ignore", "pipe", "pipe"], maxBuffer: 2 ** 28 },
);
if (status !== 0) {
  process.stderr.write(`${stdout}${stderr}The packages could not be installed.\n`);
  process.exitCode = status ?? 1;
}
