import type { ChildProcess } from "node:child_process";

/** Processes that this one started and that have not ended, each with a promise of its end. */
const running = new Map<ChildProcess, Promise<void>>();
let leaving = false;

/** Makes a process end, and be collected, before this one exits. */
export function endsWithUs(child: ChildProcess): void {
  if (running.size === 0) listen();
  const ended = new Promise<void>((resolve) => {
    const forget = (): void => {
      running.delete(child);
      resolve();
    };
    // A process that could not be started has an error and no exit.
    child.once("exit", forget).once("error", () => child.pid === undefined && forget());
  });
  running.set(child, ended);
}

/** Whether this process is about to exit, and the work of the others was abandoned. */
export function isLeaving(): boolean {
  return leaving;
}

/**
 * Ends every process that this one started, whatever it is doing, and waits until they are gone.
 *
 * To be followed by `process.exit`: work that the others had is never answered, and no other process is started.
 */
export async function leaveAlone(): Promise<void> {
  leaving = true;
  await endAll();
}

async function endAll(): Promise<void> {
  const ends = [...running.values()];
  kill();
  await Promise.all(ends);
}

function kill(): void {
  for (const child of running.keys()) {
    child.ref();
    child.kill("SIGKILL");
  }
}

let listening = false;

function listen(): void {
  if (listening) return;
  listening = true;
  // By now no work is in progress; the processes that are left are idle.
  process.on("beforeExit", endAll);
  // Nothing can wait any more, but this way they do not outlive an unexpected exit.
  process.on("exit", kill);
}
