import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import { timerDelay } from "../decode/decodeLimits.ts";

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
}

/** A worker ended, or was ended, before it answered. */
export class WorkerDied extends Error {
  override readonly name: string = "WorkerDied";
  /** Whether it was ended for taking longer than its task may. */
  readonly overtime: boolean;

  constructor(message: string, options: ErrorOptions & { readonly overtime?: boolean } = {}) {
    super(message, options);
    this.overtime = options.overtime ?? false;
  }
}

/** What a worker's script answers: a value, and whether the worker should not be used again. */
interface WorkerAnswer {
  readonly value: unknown;
  readonly spoilt: boolean;
}

/** How a {@link WorkerPool} runs one task. */
export interface TaskOptions {
  /** Buffers of the request that are handed over, not cloned; they are empty afterwards. */
  readonly transfer?: readonly ArrayBuffer[];
  /** A task that takes longer is ended with its worker: a damaged file can keep a decoder busy for ever. */
  readonly timeLimitSeconds: number;
}

/** What is made of a worker's answer: what the task gives, or another question to the same worker. */
export type Use<T> = (value: unknown) => T | Asked<T>;

/** Another question of a task. */
export class Asked<T> {
  readonly request: unknown;
  readonly use: Use<T>;

  constructor(request: unknown, use: Use<T>) {
    this.request = request;
    this.use = use;
  }
}

interface Task extends TaskOptions {
  readonly request: unknown;
  readonly use: Use<unknown>;
  readonly resolve: (value: unknown) => void;
  readonly reject: (error: unknown) => void;
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
    };
  }

  /**
   * Runs one task.
   *
   * @param request - cloned into the worker
   * @param use - is called with the answer while the worker waits, since an answer may lie in the worker's own memory, which
   *   its next task writes over; it makes of it what the task gives, or asks on
   * @throws {@link WorkerDied} when the worker ended or took too long; what `use` throws
   */
  run<T>(request: unknown, options: TaskOptions, use: Use<T> = (value) => value as T): Promise<T> {
    return new Promise((resolve, reject) => {
      this.#waiting.push({
        ...options,
        request,
        use,
        resolve: (value) => resolve(value as T),
        reject,
      });
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
    const die = (message: string, options?: ConstructorParameters<typeof WorkerDied>[1]): void =>
      finish(() => task.reject(new WorkerDied(message, options)), false);
    let { use } = task;
    const onMessage = ({ value, spoilt }: WorkerAnswer): void => {
      try {
        const used = use(value);
        if (used instanceof Asked) {
          use = used.use;
          worker.postMessage(used.request);
        } else finish(() => task.resolve(used), !spoilt);
      } catch (error) {
        finish(() => task.reject(error), !spoilt);
      }
    };
    const onError = (error: unknown): void => die("the decoder broke off", { cause: error });
    const onExit = (code: number): void => die(`the decoder ended with code ${code}`);
    const { timeLimitSeconds, transfer = [] } = task;
    const timer = setTimeout(
      () => die(`no answer within ${timeLimitSeconds} s`, { overtime: true }),
      timerDelay(timeLimitSeconds),
    );
    worker.on("message", onMessage).on("error", onError).on("exit", onExit);
    worker.postMessage(task.request, transfer);
  }
}
