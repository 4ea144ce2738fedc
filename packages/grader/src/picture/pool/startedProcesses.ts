import type { ChildProcess } from "node:child_process";

/** Processes that this one started and has not collected yet, each with its end. */
const running = new Map<ChildProcess, Promise<void>>();
let leaving = false;

/** Has a process end when this one does, and be collected before. */
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

/** Whether this process is about to exit: whatever was under way in others has been given up. */
export function isLeaving(): boolean {
  return leaving;
}

/**
 * Ends every process that this one started, whatever it is at, and waits until the system has nothing left of them.
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
  // Nothing is under way when this comes: those that are left wait for work that nobody has.
  process.on("beforeExit", endAll);
  // Nobody waits any more; at least they do not outlive an exit that was not announced.
  process.on("exit", kill);
}
