import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";

/** How a {@link WorkerPool} runs its workers. */
export interface WorkerPoolOptions {
  /**
   * Most workers at a time; each holds a decoder's memory (some 200 MB while it decodes).
   * @default 2, or 1 on a single core
   */
  readonly workers?: number;
  /**
   * Files after which a worker is replaced: a decoder's heap grows to its largest file and never shrinks.
   * @default 40
   */
  readonly tasksPerWorker?: number;
  /**
   * A task that takes longer is ended with its worker: a damaged file can keep a decoder busy for ever.
   * @default 60_000
   */
  readonly timeoutMilliseconds?: number;
}

/** A worker ended, or was ended, before it answered. */
export class WorkerDied extends Error {
  override readonly name: string = "WorkerDied";
}

/** What a worker's script answers: a value, and whether the worker should not be used again. */
interface WorkerAnswer {
  readonly value: unknown;
  readonly spoilt: boolean;
}

interface Task {
  readonly request: unknown;
  readonly transfer: readonly ArrayBuffer[];
  readonly resolve: (value: unknown) => void;
  readonly reject: (error: Error) => void;
}

/**
 * A few worker threads that run one decoder each, one file at a time.
 *
 * A worker that dies, hangs or is spoilt by an exception costs its own file and is replaced. Idle workers do not keep the
 * process alive.
 */
export class WorkerPool {
  readonly #script: URL;
  readonly #limits: Required<WorkerPoolOptions>;
  readonly #idle: { worker: Worker; tasks: number }[] = [];
  readonly #waiting: Task[] = [];
  #busy = 0;

  constructor(script: URL, options: WorkerPoolOptions = {}) {
    this.#script = script;
    this.#limits = {
      workers: options.workers ?? Math.min(2, availableParallelism()),
      tasksPerWorker: options.tasksPerWorker ?? 40,
      timeoutMilliseconds: options.timeoutMilliseconds ?? 60_000,
    };
  }

  /**
   * Runs one task.
   *
   * @param request - cloned into the worker
   * @param transfer - buffers of the request that are handed over instead; they are empty afterwards
   * @throws {@link WorkerDied} when the worker ended or took too long
   */
  run(request: unknown, transfer: readonly ArrayBuffer[] = []): Promise<unknown> {
    return new Promise((resolve, reject) => {
      this.#waiting.push({ request, transfer, resolve, reject });
      this.#next();
    });
  }

  #next(): void {
    if (this.#busy >= this.#limits.workers) return;
    const task = this.#waiting.shift();
    if (!task) return;
    this.#busy++;
    const seat = this.#idle.pop() ?? { worker: new Worker(this.#script), tasks: 0 };
    const { worker } = seat;
    worker.ref();

    const finish = (settle: () => void, reusable: boolean): void => {
      clearTimeout(timer);
      worker.off("message", onMessage).off("error", onError).off("exit", onExit);
      this.#busy--;
      seat.tasks++;
      if (reusable && seat.tasks < this.#limits.tasksPerWorker) {
        worker.unref();
        this.#idle.push(seat);
      } else {
        // What a worker on its way out still has to say concerns nobody.
        worker.on("error", () => {});
        worker.terminate();
      }
      settle();
      this.#next();
    };
    const die = (message: string, cause?: unknown): void =>
      finish(() => task.reject(new WorkerDied(message, { cause })), false);
    const onMessage = ({ value, spoilt }: WorkerAnswer): void =>
      finish(() => task.resolve(value), !spoilt);
    const onError = (error: unknown): void => die("the decoder broke off", error);
    const onExit = (code: number): void => die(`the decoder ended with code ${code}`);
    const { timeoutMilliseconds } = this.#limits;
    const timer = setTimeout(
      () => die(`no answer within ${timeoutMilliseconds / 1000} s`),
      timeoutMilliseconds,
    );
    worker.on("message", onMessage).on("error", onError).on("exit", onExit);
    worker.postMessage(task.request, task.transfer);
  }
}
