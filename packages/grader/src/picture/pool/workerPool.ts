import { availableParallelism } from "node:os";
import { timerDelay } from "./timerDelay.ts";

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
   * Seconds after which a worker that has nothing to do is ended.
   * @default never
   */
  readonly idleSeconds?: number;
}

/** A worker ended, or was ended, before it answered. */
export class WorkerDied extends Error {
  override readonly name: string = "WorkerDied";
  /** Whether it was ended because its task took too long. */
  readonly overtime: boolean;
  /** Whether it ended before it was ready, so that the task is not to blame. */
  readonly stillborn: boolean;

  constructor(
    message: string,
    options: ErrorOptions & { readonly overtime?: boolean; readonly stillborn?: boolean } = {},
  ) {
    super(message, options);
    this.overtime = options.overtime ?? false;
    this.stillborn = options.stillborn ?? false;
  }
}

/** What a worker's script answers: a value, and whether the worker should not be used again. */
export interface WorkerAnswer {
  readonly value: unknown;
  readonly spoilt: boolean;
}

/** Listens to a worker. */
export interface WorkerEars {
  readonly answer: (answer: WorkerAnswer) => void;
  /** Called when it ends by itself. */
  readonly ended: (how: string, options?: ErrorOptions) => void;
}

/** A thread or a process that answers requests, one at a time. */
export interface PoolWorker {
  /** Whether its script has begun to listen; null where it does not say. */
  readonly ready: boolean | null;
  /** Sets the listener. */
  listen(ears: WorkerEars): void;
  post(request: unknown, transfer: readonly ArrayBuffer[]): void;
  /** Sets whether it keeps this process alive. */
  hold(working: boolean): void;
  /** Ends it, whatever it is doing. */
  end(): void;
}

/** How a {@link WorkerPool} runs one task. */
export interface TaskOptions {
  /** Buffers of the request to transfer instead of clone; they are empty afterwards. */
  readonly transfer?: readonly ArrayBuffer[];
  /** A task that takes longer is ended together with its worker, since a damaged file can keep a decoder busy for ever. */
  readonly timeLimitSeconds: number;
}

/** What follows a worker's answer: the task's result, or another question to the same worker. */
export type Use<T> = (value: unknown) => T | Held<T> | Asked<T>;

/** A task's result that lies in its worker's memory: the worker waits, with no limit of time, until nobody uses it. */
export class Held<T> {
  readonly value: T;
  readonly unused: Promise<unknown>;

  constructor(value: T, unused: Promise<unknown>) {
    this.value = value;
    this.unused = unused;
  }
}

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

/** A worker, and how it has served. */
interface Seat {
  readonly worker: PoolWorker;
  tasks: number;
  idle: NodeJS.Timeout | null;
}

/**
 * A few workers, each of which handles one file at a time.
 *
 * A worker that dies, hangs or is spoilt by an exception fails only its own file and is replaced. Idle workers do not keep the
 * process alive.
 */
export class WorkerPool {
  readonly #start: () => PoolWorker;
  readonly #limits: Required<WorkerPoolOptions>;
  readonly #idle: Seat[] = [];
  readonly #waiting: Task[] = [];
  #busy = 0;

  /**
   * @param start - makes a worker
   * @param options - how many, and for how long
   */
  constructor(start: () => PoolWorker, options: WorkerPoolOptions = {}) {
    this.#start = start;
    this.#limits = {
      workers: options.workers ?? Math.min(2, availableParallelism()),
      tasksPerWorker: options.tasksPerWorker ?? 40,
      idleSeconds: options.idleSeconds ?? Number.POSITIVE_INFINITY,
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
    const seat = this.#idle.pop() ?? this.#seat(task);
    if (!seat) {
      this.#next();
      return;
    }
    this.#busy++;
    if (seat.idle) clearTimeout(seat.idle);
    const { worker } = seat;
    worker.hold(true);

    let over = false;
    const finish = (settle: () => void, reusable: boolean): void => {
      over = true;
      clearTimeout(timer);
      this.#busy--;
      seat.tasks++;
      if (reusable && seat.tasks < this.#limits.tasksPerWorker) this.#rest(seat);
      else this.#dismiss(worker);
      settle();
      this.#next();
    };
    const die = (message: string, options?: ConstructorParameters<typeof WorkerDied>[1]): void => {
      if (over) return;
      const died = new WorkerDied(message, { stillborn: worker.ready === false, ...options });
      finish(() => task.reject(died), false);
    };
    let { use } = task;
    const answer = ({ value, spoilt }: WorkerAnswer): void => {
      try {
        const used = use(value);
        if (used instanceof Asked) {
          use = used.use;
          worker.post(used.request, []);
        } else if (used instanceof Held) {
          clearTimeout(timer);
          task.resolve(used.value);
          const release = (): void => {
            if (!over) finish(() => {}, !spoilt);
          };
          used.unused.then(release, release);
        } else finish(() => task.resolve(used), !spoilt);
      } catch (error) {
        finish(() => task.reject(error), !spoilt);
      }
    };
    const { timeLimitSeconds, transfer = [] } = task;
    const timer = setTimeout(
      () => die(`no answer within ${timeLimitSeconds} s`, { overtime: true }),
      timerDelay(timeLimitSeconds),
    );
    worker.listen({ answer, ended: die });
    worker.post(task.request, transfer);
  }

  /** A new worker; null where none can be started, and its task then fails. */
  #seat(task: Task): Seat | null {
    try {
      return { worker: this.#start(), tasks: 0, idle: null };
    } catch (cause) {
      task.reject(new WorkerDied("it could not be started", { cause, stillborn: true }));
      return null;
    }
  }

  #rest(seat: Seat): void {
    const { worker } = seat;
    worker.hold(false);
    const forget = (): void => {
      const place = this.#idle.indexOf(seat);
      if (place >= 0) this.#idle.splice(place, 1);
      this.#dismiss(worker);
    };
    worker.listen({ answer: () => {}, ended: forget });
    this.#idle.push(seat);
    const { idleSeconds } = this.#limits;
    if (idleSeconds < Number.POSITIVE_INFINITY) {
      seat.idle = setTimeout(forget, timerDelay(idleSeconds)).unref();
    }
  }

  /** Anything that a worker sends while it ends is ignored. */
  #dismiss(worker: PoolWorker): void {
    worker.listen({ answer: () => {}, ended: () => {} });
    worker.end();
  }
}
