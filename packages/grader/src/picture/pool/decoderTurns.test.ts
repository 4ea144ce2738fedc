import { expect, test } from "vitest";
import { Turns } from "./decoderTurns.ts";

/** Work that waits to be ended, and says when it starts. */
function job(name: string, log: string[]) {
  let end = (): void => {};
  const ended = new Promise<void>((resolve) => {
    end = resolve;
  });
  const work = async (): Promise<string> => {
    log.push(name);
    await ended;
    return name;
  };
  return { work, end };
}

const settle = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

test("work beside other work starts at once; work alone waits for it and holds up what comes after", async () => {
  const turns = new Turns();
  const log: string[] = [];
  const [a, b, lone, after] = ["a", "b", "lone", "after"].map((name) => job(name, log)) as [
    ReturnType<typeof job>,
    ReturnType<typeof job>,
    ReturnType<typeof job>,
    ReturnType<typeof job>,
  ];
  const done = [
    turns.beside(a.work),
    turns.beside(b.work),
    turns.alone(lone.work),
    turns.beside(after.work),
  ];
  await settle();
  expect(log).toEqual(["a", "b"]);
  a.end();
  await settle();
  expect(log).toEqual(["a", "b"]);
  b.end();
  await settle();
  expect(log).toEqual(["a", "b", "lone"]);
  lone.end();
  await settle();
  expect(log).toEqual(["a", "b", "lone", "after"]);
  after.end();
  expect(await Promise.all(done)).toEqual(["a", "b", "lone", "after"]);
});

test("work that fails gives up its turn", async () => {
  const turns = new Turns();
  const fail = (): Promise<never> => Promise.reject(new RangeError("of the work"));
  await expect(turns.alone(fail)).rejects.toThrow("of the work");
  await expect(turns.beside(fail)).rejects.toThrow("of the work");
  expect(await turns.alone(async () => "next")).toBe("next");
});
