#!/usr/bin/env node
import { EXIT } from "./cli/exitCodes.ts";

// A reader that stops early (head, less) has had what it wanted.
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
  if (error.code !== "EPIPE") throw error;
  process.exit(EXIT.ok);
});
for (const signal of ["SIGINT", "SIGTERM"] as const) {
  process.on(signal, () => process.exit(EXIT.interrupted));
}

// Loaded after the signals are listened for: decoders take a moment, and an interrupt may come in it.
const { run } = await import("./cli/run.ts");
process.exitCode = await run(process.argv.slice(2), process);
