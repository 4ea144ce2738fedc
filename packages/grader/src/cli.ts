#!/usr/bin/env node
import * as nodeModule from "node:module";
import { EXIT } from "./cli/exitCodes.ts";
import { headStart } from "./cli/headStart.ts";
import { leaveAlone } from "./picture/pool/startedProcesses.ts";

let leaving = false;

/** Gives up what is under way, and exits when no process of the run is left; at once when it is asked again. */
async function leave(code: number): Promise<void> {
  if (!leaving) {
    leaving = true;
    await leaveAlone();
  }
  process.exit(code);
}

for (const stream of [process.stdout, process.stderr]) {
  stream.on("error", ({ code }: NodeJS.ErrnoException) => {
    // Each of the lines under way may fail.
    if (leaving) return;
    // A reader that stops early (head, less) has had what it wanted.
    if (code === "EPIPE") {
      leave(EXIT.ok);
      return;
    }
    if (stream === process.stdout) {
      process.stderr.write(`tonefall: the result cannot be written (${code}); free some space\n`);
    }
    leave(EXIT.usage);
  });
}
const SIGNALS = {
  SIGINT: EXIT.interrupted,
  SIGTERM: EXIT.terminated,
  SIGHUP: EXIT.hungUp,
} as const;
for (const [signal, code] of Object.entries(SIGNALS)) process.on(signal, () => leave(code));

keepCompiled();
const words = process.argv.slice(2);
// What goes wrong shows when the frame is asked for.
const ended = await headStart(words, process).catch(() => null);
// Loaded after the signals are listened for: decoders take a moment, and an interrupt may come in it.
const { run } = await import("./cli/run.ts");
const code = await run(words, process);
process.exitCode = code;
await ended?.(code);

/** Has Node keep what it compiles for the next start, where it can (from 22.1 on) and nobody has turned that off. */
function keepCompiled(): void {
  const { enableCompileCache } = nodeModule as { readonly enableCompileCache?: () => unknown };
  enableCompileCache?.();
}
