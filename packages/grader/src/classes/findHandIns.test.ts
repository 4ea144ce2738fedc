import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import { findHandIns } from "./findHandIns.ts";
import { readClass } from "./readClass.ts";

let folder = "";
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), "tonefall hand-ins "));
});
afterEach(() => rm(folder, { recursive: true }));

const CLASS = `class: Evening
students: [Zoë]
hand-ins: "Übungen/{student}/{exercise}"
exercises:
  Café: { tasks: { wall: { place: 0, files: "*wände*" }, moss: { place: 0, files: "*moos*" } } }
`;

test.each([
  ["a Mac's names", "NFD", "NFC"],
  ["a class file of a Mac", "NFC", "NFD"],
])("accents match however they are stored: %s", async (_, names, text) => {
  await writeFile(join(folder, "class.yaml"), CLASS.normalize(text));
  for (const file of ["Wände-1.jpg", "moos.jpg"]) {
    const path = join(folder, `übungen/Zoë/Café/${file}`.normalize(names));
    await mkdir(dirname(path), { recursive: true });
    await writeFile(path, "x");
  }
  const ready = await readClass(join(folder, "class.yaml"));
  const { handIns, strays } = await findHandIns(ready);
  expect(strays).toEqual([]);
  expect(handIns.map(({ task, by }) => [task, by])).toEqual([
    ["wall", "files"],
    ["moss", "files"],
  ]);
});

test("a second download of a file takes no other file's place", async () => {
  const text = CLASS.replace(/tasks: .*/, "tasks: { wall: { place: 0, frames: 2 } } }");
  await writeFile(join(folder, "class.yaml"), text);
  const own = join(folder, "Übungen/Zoë/Café");
  await mkdir(own, { recursive: true });
  const files = { "IMG_1 (1).jpg": "one", "IMG_1.jpg": "one", "IMG_2.jpg": "two" };
  for (const [name, bytes] of Object.entries(files)) await writeFile(join(own, name), bytes);
  const { handIns } = await findHandIns(await readClass(join(folder, "class.yaml")));
  const bytesOf = ({ path }: { path: string }): string =>
    files[path.slice(path.lastIndexOf("/") + 1) as keyof typeof files];
  expect(handIns.filter(({ task }) => task === "wall").map(bytesOf)).toEqual(["one", "two"]);
  expect(handIns.filter(({ task }) => task === null).map(bytesOf)).toEqual(["one"]);
});

test("a second attempt in a folder of its own takes no other file's place", async () => {
  const text = CLASS.replace("{exercise}", "{exercise}*").replace(
    /tasks: .*/,
    "tasks: { wall: { place: 0 }, moss: { place: 1 } } }",
  );
  await writeFile(join(folder, "class.yaml"), text);
  for (const file of ["Café_1/IMG_1.jpg", "Café_1/IMG_2.jpg", "Café_2/IMG_1.jpg"]) {
    const path = join(folder, "Übungen/Zoë", file);
    await mkdir(dirname(path), { recursive: true });
    await writeFile(path, file);
  }
  const { handIns } = await findHandIns(await readClass(join(folder, "class.yaml")));
  const taskOf = new Map(handIns.map(({ file, task }) => [file, task]));
  expect(taskOf.get("Übungen/Zoë/Café_1/IMG_2.jpg")).toBe("moss");
  expect(taskOf.get("Übungen/Zoë/Café_2/IMG_1.jpg")).toBeNull();
});
