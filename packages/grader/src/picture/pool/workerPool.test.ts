import { describe, expect, test } from "vitest";
import { threadWorker } from "./threadWorker.ts";
import { Asked, Held, WorkerDied, WorkerPool } from "./workerPool.ts";

/** A worker that does what it is told: answers its own number, spoils itself, dies or hangs. */
const SCRIPT = new URL(
  `data:text/javascript,${encodeURIComponent(`
    import { parentPort, threadId } from "node:worker_threads";
    parentPort.on("message", (request) => {
      if (request === "die") process.exit(3);
      if (request === "throw") throw { excPtr: 7 };
      if (request === "hang") for (;;) {}
      parentPort.postMessage({ value: { request, threadId }, spoilt: request === "spoil" });
    });
  `)}`,
);

const start = () => threadWorker(SCRIPT);

const AMPLE = { timeLimitSeconds: 60 };

interface Reply {
  readonly request: string;
  readonly threadId: number;
}

describe("WorkerPool", () => {
  test("one worker serves one task after another", async () => {
    const pool = new WorkerPool(start, { workers: 1 });
    const replies = (await Promise.all(
      ["a", "b", "c"].map((name) => pool.run(name, AMPLE)),
    )) as Reply[];
    expect(replies.map(({ request }) => request)).toEqual(["a", "b", "c"]);
    expect(new Set(replies.map(({ threadId }) => threadId)).size).toBe(1);
  });

  test("several work side by side, never more than are allowed", async () => {
    const pool = new WorkerPool(start, { workers: 2 });
    const replies = (await Promise.all(
      ["a", "b", "c", "d"].map((name) => pool.run(name, AMPLE)),
    )) as Reply[];
    expect(new Set(replies.map(({ threadId }) => threadId)).size).toBe(2);
  });

  test("a worker whose memory holds a result gets its next task when that is unused", async () => {
    const pool = new WorkerPool(start, { workers: 1 });
    const order: string[] = [];
    let release = (): void => {};
    const unused = new Promise<void>((resolve) => {
      release = resolve;
    });
    const first = pool.run("a", AMPLE, (value) => new Held((value as Reply).request, unused));
    const second = pool.run("b", AMPLE, (value) => order.push((value as Reply).request));
    expect(await first).toBe("a");
    // Time enough for an answer that nothing holds back.
    await new WorkerPool(start, { workers: 1 }).run("c", AMPLE, () => order.push("c"));
    order.push("released");
    release();
    await second;
    expect(order).toEqual(["c", "released", "b"]);
  });

  test("an answer is used before the worker gets its next task, and what that throws is the task's", async () => {
    const pool = new WorkerPool(start, { workers: 1 });
    const order: string[] = [];
    const use = (value: unknown): string => {
      const { request } = value as Reply;
      order.push(request);
      if (request === "b") throw new RangeError("of b");
      return request;
    };
    const [a, b, c] = await Promise.allSettled(["a", "b", "c"].map((x) => pool.run(x, AMPLE, use)));
    expect(a).toEqual({ status: "fulfilled", value: "a" });
    expect((b as PromiseRejectedResult).reason).toBeInstanceOf(RangeError);
    expect(c).toEqual({ status: "fulfilled", value: "c" });
    expect(order).toEqual(["a", "b", "c"]);
  });

  test("a task may ask the same worker again before another task has it", async () => {
    const pool = new WorkerPool(start, { workers: 1 });
    const order: string[] = [];
    const noted = (value: unknown): Reply => {
      order.push((value as Reply).request);
      return value as Reply;
    };
    const twice = pool.run("first", AMPLE, (one) => {
      const { threadId } = noted(one);
      return new Asked("second", (two) => noted(two).threadId === threadId);
    });
    const other = pool.run("other", AMPLE, noted);
    expect(await twice).toBe(true);
    await other;
    expect(order).toEqual(["first", "second", "other"]);
  });

  test.each(["die", "throw"])(
    "a worker that is told to %s costs its own task and is replaced",
    async (request) => {
      const pool = new WorkerPool(start, { workers: 1 });
      const [before, dead, after] = await Promise.allSettled(
        ["a", request, "b"].map((name) => pool.run(name, AMPLE)),
      );
      expect(before?.status).toBe("fulfilled");
      expect((dead as PromiseRejectedResult).reason).toBeInstanceOf(WorkerDied);
      expect(after?.status).toBe("fulfilled");
    },
  );

  test("a worker that hangs is ended", async () => {
    const pool = new WorkerPool(start, { workers: 1 });
    await expect(pool.run("hang", { timeLimitSeconds: 0.3 })).rejects.toMatchObject({
      message: "no answer within 0.3 s",
      overtime: true,
    });
    expect(await pool.run("a", AMPLE)).toMatchObject({ request: "a" });
  });

  test("a spoilt worker, and one that has done its tasks, is replaced", async () => {
    const pool = new WorkerPool(start, { workers: 1, tasksPerWorker: 2 });
    const ids: number[] = [];
    for (const request of ["spoil", "a", "b", "c"]) {
      ids.push(((await pool.run(request, AMPLE)) as Reply).threadId);
    }
    const [first, second, third, fourth] = ids;
    expect(first).not.toBe(second);
    expect(second).toBe(third);
    expect(third).not.toBe(fourth);
  });

  test("a worker that cannot be started is told to each task, and to none that comes later", async () => {
    let refusals = 2;
    const pool = new WorkerPool(
      () => {
        if (refusals-- > 0) throw new RangeError("no more of them");
        return start();
      },
      { workers: 1 },
    );
    const [a, b, c] = await Promise.allSettled(["a", "b", "c"].map((x) => pool.run(x, AMPLE)));
    for (const refused of [a, b]) {
      const { reason } = refused as PromiseRejectedResult;
      expect(reason).toBeInstanceOf(WorkerDied);
      expect(reason).toMatchObject({ stillborn: true, cause: { message: "no more of them" } });
    }
    expect(c?.status).toBe("fulfilled");
  });

  test("a worker that has nothing to do is ended when its time is over, and replaced when one is wanted", async () => {
    const pool = new WorkerPool(start, { workers: 1, idleSeconds: 0.05 });
    const first = (await pool.run("a", AMPLE)) as Reply;
    await new Promise((later) => setTimeout(later, 300));
    expect(((await pool.run("b", AMPLE)) as Reply).threadId).not.toBe(first.threadId);
  });
});
