import { READY } from "../picture/pool/processWorker.ts";
import type { ApartRequest } from "./gradeApart.ts";

/** Ends this process at once: a decoder that hangs would block any gentler way. */
function end(): void {
  process.kill(process.pid, "SIGKILL");
}

/** Sends a message to the parent, or ends where no parent listens. */
function say(message: unknown): void {
  process.send?.(message, undefined, undefined, (error) => error && end());
}

// A terminal sends its signals to all processes of a run. This one is ended by its parent, or ends with it.
for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.on(signal, () => {});
process.on("disconnect", end);
if (!process.connected) end();

// Loaded only now: the parent may end while the decoders load.
const { gradeAnew } = await import("./gradeAnew.ts");

process.on("message", async ({ path, brief, options }: ApartRequest) => {
  const row = await gradeAnew(path, brief, options);
  // Whatever took too long may still be running.
  say({ value: row, spoilt: row.failure?.code === "took-too-long" });
});

say(READY);
