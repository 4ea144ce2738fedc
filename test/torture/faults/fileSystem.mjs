import { spawnSync } from "node:child_process";
import { chmod, link, mkdir, rename, rm, symlink, truncate, writeFile } from "node:fs/promises";
import { createServer } from "node:net";
import { join } from "node:path";
import { findFrames } from "@tonefall/grader";
import sharp from "sharp";
import { endedWell, tonefall } from "../command.mjs";
import { randomFrom } from "../random.mjs";
import { victim } from "../sendTo.mjs";

/** @typedef {import("@tonefall/grader").FrameResult} GradedRow */

/** A user who is nobody: permissions do not bind root. */
const NOBODY = 65_534;

/** A small sound picture. */
export function soundPicture() {
  const background = { r: 118, g: 118, b: 118 };
  return sharp({ create: { width: 64, height: 48, channels: 3, background } })
    .jpeg()
    .toBuffer();
}

/**
 * What a folder can hold besides pictures, and files that do not stay as they were.
 *
 * @type {readonly import("../trial.mjs").Fault[]}
 */
export const fileSystemFaults = [
  {
    name: "pipe, socket, device, folder and loops named .jpg",
    promise: "each a row with its reason, the sound frame graded; nothing is waited for",
    run: async ({ folder }) => {
      await writeFile(join(folder, "sound.jpg"), await soundPicture());
      if (spawnSync("mkfifo", [join(folder, "pipe.jpg")]).status !== 0)
        return { skipped: "no mkfifo here" };
      const server = createServer();
      await new Promise((done) => server.listen(join(folder, "socket.jpg"), () => done(null)));
      await symlink("/dev/zero", join(folder, "device.jpg"));
      await mkdir(join(folder, "folder.jpg"));
      await symlink(join(folder, "folder.jpg"), join(folder, "to-folder.jpg"));
      await symlink(join(folder, "loop.jpg"), join(folder, "loop.jpg"));
      await symlink(join(folder, "nowhere"), join(folder, "dangling.jpg"));
      await symlink(folder, join(folder, "itself"));
      const run = await tonefall(["grade", folder, "-f", "json"]);
      server.close();
      return rowsAre(run, {
        "dangling.jpg": "no-such-file",
        "device.jpg": "cannot-read",
        "loop.jpg": "cannot-read",
        "pipe.jpg": "cannot-read",
        "socket.jpg": "cannot-read",
        "sound.jpg": null,
        "to-folder.jpg": "is-a-folder",
      });
    },
  },
  {
    slow: true,
    name: "a folder and a file without permission",
    promise: "both are told, the rest graded, exit code 3",
    run: async ({ folder }) => {
      await chmod(folder, 0o755);
      await mkdir(join(folder, "closed"));
      await writeFile(join(folder, "closed", "inside.jpg"), await soundPicture());
      await writeFile(join(folder, "closed.jpg"), await soundPicture(), { mode: 0o000 });
      await writeFile(join(folder, "open.jpg"), await soundPicture(), { mode: 0o644 });
      await chmod(join(folder, "closed"), 0o000);
      const asNobody = process.getuid?.() === 0 ? { uid: NOBODY, gid: NOBODY } : {};
      const run = await tonefall(["grade", folder, "-f", "json"], { cwd: "/", ...asNobody });
      await chmod(join(folder, "closed"), 0o755);
      const rows = rowsAre(run, { "closed.jpg": "cannot-read", "open.jpg": null });
      const told = /closed cannot be read \(EACCES\)/.test(run.stderr);
      return { ...rows, held: rows.held && told && run.code === 3 };
    },
  },
  {
    name: "names of 255 bytes, of 5,000 characters, and not in UTF-8",
    promise: "graded where the system can open them, otherwise a row of their own; none is lost",
    run: async ({ folder }) => {
      const sound = await soundPicture();
      const longest = `${"n".repeat(251)}.jpg`;
      await writeFile(join(folder, longest), sound);
      for (const byte of [0xfe, 0xff]) {
        const name = Buffer.concat([
          Buffer.from(`${folder}/`),
          Buffer.from([byte]),
          Buffer.from(".jpg"),
        ]);
        await writeFile(name, sound);
      }
      const tooLong = `${join(folder, "x".repeat(5000))}.jpg`;
      const run = await tonefall(["grade", folder, tooLong, "-f", "json"]);
      const rows = JSON.parse(run.stdout).frames.map(
        /** @param {GradedRow} row */ ({ failure }) => failure?.code ?? "graded",
      );
      const held = rows.join() === "graded,cannot-read,cannot-read,cannot-read" && run.code === 3;
      return { held, what: `${rows.join(", ")}; exit ${run.code}` };
    },
  },
  {
    slow: true,
    name: "folders within folders, past the longest path",
    promise: "what is too deep is told, the rest graded",
    run: async ({ folder }) => {
      await writeFile(join(folder, "sound.jpg"), await soundPicture());
      const levels = 40;
      // Made from within, since no path reaches this deep.
      const script = `for (let i = 0; i < ${levels}; i++) { const n = "d".repeat(200); require("fs").mkdirSync(n); process.chdir(n); }`;
      spawnSync(process.execPath, ["-e", script], { cwd: folder });
      const run = await tonefall(["grade", folder, "-f", "json"]);
      spawnSync("rm", ["-rf", folder]);
      const rows = rowsAre(run, { "sound.jpg": null });
      const told = /cannot be read \(ENAMETOOLONG\)/.test(run.stderr);
      return { ...rows, held: rows.held && told && run.code === 3 };
    },
  },
  {
    slow: true,
    name: "very many files in one folder",
    promise: "all are found",
    run: async ({ folder }) => {
      const count = 150_000;
      const first = join(folder, "0.jpg");
      await writeFile(first, "");
      await mkdir(join(folder, "more"));
      // A name costs less than a file; most file systems allow some 60,000 names for one.
      let file = first;
      for (let i = 1; i < count; i++) {
        const path = join(folder, "more", `${i}.jpg`);
        if (i % 30_000 !== 0) await link(file, path);
        else {
          file = path;
          await writeFile(file, "");
        }
      }
      const { frames } = await findFrames([folder]);
      return { held: frames.length === count, what: `${frames.length} of ${count} found` };
    },
  },
  {
    name: "files that shrink, grow, change and vanish while they are read",
    promise: "a row or a failure in words for each; no crash, no hang",
    run: async ({ folder, short, seed, keep }) => {
      const random = randomFrom(seed);
      const sound = await soundPicture();
      const large = await sharp(sound).resize(1500, 1000).jpeg({ quality: 100 }).toBuffer();
      const path = join(folder, "moving.jpg");
      /** @type {Record<string, () => Promise<unknown>>} */
      const moves = {
        shrink: () => truncate(path, random.whole(large.length)),
        empty: () => truncate(path, 0),
        grow: () => writeFile(path, Buffer.alloc(random.whole(100_000)), { flag: "a" }),
        change: () => writeFile(path, sound),
        vanish: () => rm(path),
        become: () => rename(path, `${path}.gone`).then(() => mkdir(path)),
      };
      const { send, end } = victim({ timeLimitSeconds: 20, maxMegapixels: 50 });
      await send(sound);
      const broken = [];
      const codes = new Map();
      for (let round = 0; round < (short ? 24 : 240); round++) {
        await rm(path, { recursive: true, force: true });
        await writeFile(path, large);
        const [name, move] = random.of(Object.entries(moves));
        const delay = 30 * random.next();
        const [answer] = await Promise.all([
          send(path),
          new Promise((done) => setTimeout(done, delay)).then(move).catch(() => {}),
        ]);
        codes.set(answer.code ?? "graded", (codes.get(answer.code ?? "graded") ?? 0) + 1);
        if (answer.broken) broken.push(`${name} after ${delay.toFixed(1)} ms: ${answer.broken}`);
      }
      end();
      if (broken.length > 0) await keep("moving.jpg", large);
      const what = [...codes].map(([code, count]) => `${count} ${code}`).join(", ");
      return { held: broken.length === 0, what, broken };
    },
  },
];

/**
 * Whether the rows of a run are these files with these failures, in any order.
 *
 * @param {Awaited<ReturnType<typeof tonefall>>} run
 * @param {Record<string, string | null>} expected
 */
function rowsAre(run, expected) {
  /** @type {GradedRow[]} */
  let rows;
  try {
    rows = JSON.parse(run.stdout).frames;
  } catch {
    return { held: false, what: `no result: ${run.stderr.slice(0, 200)}` };
  }
  const seen = Object.fromEntries(
    rows.map(({ file, failure }) => [file.split("/").at(-1), failure?.code ?? null]),
  );
  const held =
    endedWell(run) &&
    rows.length === Object.keys(expected).length &&
    Object.entries(expected).every(([name, code]) => seen[name] === code);
  const what = Object.entries(seen).map(([name, code]) => `${name} ${code ?? "graded"}`);
  return { held, what: `${what.join(", ")}; exit ${run.code}` };
}
