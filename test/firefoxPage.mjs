// Opens a hand-in page in Firefox by WebDriver BiDi, chooses files for its first task, and prints the slip that it saves.
// node --experimental-websocket test/firefoxPage.mjs FIREFOX PAGE FILES...
import { spawn } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { pathToFileURL } from "node:url";

const [firefox = "", page = "", ...files] = process.argv.slice(2);
const profile = await mkdtemp(join(tmpdir(), "tonefall-firefox-"));
const browser = spawn(
  firefox,
  ["--headless", "--no-remote", "--profile", profile, "--remote-debugging-port", "0"],
  { stdio: ["ignore", "ignore", "pipe"] },
);
try {
  const send = await connected(await addressOf(browser.stderr));
  await send("session.new", { capabilities: {} });
  const { contexts } = await send("browsingContext.getTree", {});
  const context = contexts[0].context;
  await send("browsingContext.navigate", {
    context,
    url: pathToFileURL(page).href,
    wait: "complete",
  });
  const evaluated = async (/** @type {string} */ expression) => {
    const answer = await send("script.evaluate", {
      ...{ expression, awaitPromise: true, target: { context } },
    });
    if (answer.type === "exception") throw new Error(answer.exceptionDetails.text);
    return answer.result;
  };
  const input = await evaluated('document.querySelector("#task-1")');
  await send("input.setFiles", { context, element: { sharedId: input.sharedId }, files });
  await evaluated(`(async () => {
    const busy = () => document.querySelectorAll(".frame").length < ${files.length} || document.querySelector(".frame[aria-busy]");
    while (busy()) await new Promise((go) => setTimeout(go, 100));
  })()`);
  const { value } = await evaluated(`(async () => {
    let saved;
    const usual = URL.createObjectURL;
    URL.createObjectURL = (blob) => usual.call(URL, (saved = blob));
    document.querySelector(".save").click();
    return saved.text();
  })()`);
  process.stdout.write(value);
} finally {
  const ended = new Promise((done) => browser.once("exit", done));
  browser.kill();
  await ended;
  await rm(profile, { recursive: true, force: true });
}
process.exit(0);

/** @param {import("node:stream").Readable} stderr @returns {Promise<string>} */
async function addressOf(stderr) {
  for await (const line of createInterface({ input: stderr })) {
    const [, address] = /WebDriver BiDi listening on (ws:\S+)/.exec(line) ?? [];
    if (address !== undefined) return address;
  }
  throw new Error("Firefox gave no address");
}

/**
 * @param {string} address
 * @returns {Promise<(method: string, params: object) => Promise<any>>}
 */
async function connected(address) {
  const socket = new WebSocket(`${address}/session`);
  await new Promise((open, fail) => {
    socket.onopen = open;
    socket.onerror = fail;
  });
  const waiting = new Map();
  socket.onmessage = ({ data }) => {
    const answer = JSON.parse(data);
    const job = waiting.get(answer.id);
    if (answer.type === "error") job?.fail(new Error(`${answer.error}: ${answer.message}`));
    else job?.done(answer.result);
  };
  let last = 0;
  return (method, params) =>
    new Promise((done, fail) => {
      const id = ++last;
      waiting.set(id, { done, fail });
      socket.send(JSON.stringify({ id, method, params }));
    });
}
