import { READY } from "../picture/pool/processWorker.ts";
import type { ApartRequest } from "./gradeApart.ts";

/** A decoder that hangs would hold up any other way to end. */
function end(): void {
  process.kill(process.pid, "SIGKILL");
}

/** Says something to the parent. Where nobody hears it, nobody needs this process. */
function say(message: unknown): void {
  process.send?.(message, undefined, undefined, (error) => error && end());
}

// A terminal sends its signals to all processes of a run. This one is ended by its parent, or ends with it.
for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.on(signal, () => {});
process.on("disconnect", end);
if (!process.connected) end();

// Loaded after the parent's end is listened for: it may come while the decoders are loaded.
const { gradeAnew } = await import("./gradeAnew.ts");

process.on("message", async ({ path, brief, options }: ApartRequest) => {
  const row = await gradeAnew(path, brief, options);
  // Whatever took too long may be at it still.
  say({ value: row, spoilt: row.failure?.code === "took-too-long" });
});

say(READY);
