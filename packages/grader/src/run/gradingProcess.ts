import { READY } from "../pool/processWorker.ts";
import { gradeAnew } from "./gradeAnew.ts";
import type { ApartRequest } from "./gradeApart.ts";

// A terminal sends its signals to all processes of a run. This one is ended by its parent, or ends with it.
for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.on(signal, () => {});
process.on("disconnect", () => {
  // A decoder that hangs would hold up any other way to end.
  process.kill(process.pid, "SIGKILL");
});

process.on("message", async ({ path, brief, options }: ApartRequest) => {
  const row = await gradeAnew(path, brief, options);
  // Whatever took too long may be at it still.
  process.send?.({ value: row, spoilt: row.failure?.code === "took-too-long" });
});

process.send?.(READY);
