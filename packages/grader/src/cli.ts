#!/usr/bin/env node
import { EXIT } from "./cli/exitCodes.ts";

for (const stream of [process.stdout, process.stderr]) {
  stream.on("error", ({ code }: NodeJS.ErrnoException) => {
    // A reader that stops early (head, less) has had what it wanted.
    if (code === "EPIPE") process.exit(EXIT.ok);
    if (stream === process.stdout) {
      process.stderr.write(`tonefall: the result cannot be written (${code}); free some space\n`);
    }
    process.exit(EXIT.usage);
  });
}
for (const signal of ["SIGINT", "SIGTERM"] as const) {
  process.on(signal, () => process.exit(EXIT.interrupted));
}

// Loaded after the signals are listened for: decoders take a moment, and an interrupt may come in it.
const { run } = await import("./cli/run.ts");
process.exitCode = await run(process.argv.slice(2), process);
