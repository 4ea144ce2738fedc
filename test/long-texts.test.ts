import type { ChildProcess } from "node:child_process";
import { rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { flat, newFolder } from "./pictures.ts";
import { type Run, runTonefall } from "./runTonefall.ts";

/** A run that takes longer will not end: it takes a second or two, on a busy machine ten. */
const MOST_MILLISECONDS = 30_000;

const CORNERS = 1000;

let folder = "";
beforeAll(async () => {
  folder = await newFolder();
  await flat(118).jpeg().toFile(join(folder, "a.jpg"));
});
afterAll(() => rm(folder, { recursive: true }));

async function endsInTime(...args: string[]): Promise<Run> {
  const endLate = (child: ChildProcess): void => {
    const timer = setTimeout(() => child.kill("SIGKILL"), MOST_MILLISECONDS);
    child.on("close", () => clearTimeout(timer));
  };
  const run = await runTonefall(args, {
    cwd: folder,
    env: { TONEFALL_CACHE: "" },
    meanwhile: endLate,
  });
  expect(run.signal, args.join(" ")).toBeNull();
  return run;
}

/** Corners within a speck that holds no pixel's centre, so that a message quotes the region. */
function speck(corners: number): string[][] {
  const place = (i: number): string => (0.0001 + (i % 997) * 1e-6).toFixed(6);
  return Array.from({ length: corners }, (_, i) => [place(i), place(7 * i)]);
}

function sidecar(): string {
  const corners = speck(CORNERS).map(
    ([x, y]) =>
      `<rdf:li rdf:parseType="Resource"><Iptc4xmpExt:rbX>${x}</Iptc4xmpExt:rbX><Iptc4xmpExt:rbY>${y}</Iptc4xmpExt:rbY></rdf:li>`,
  );
  return `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" xmlns:Iptc4xmpExt="http://iptc.org/std/Iptc4xmpExt/2008-02-29/"><Iptc4xmpExt:ImageRegion><rdf:Bag><rdf:li rdf:parseType="Resource"><Iptc4xmpExt:Name>subject</Iptc4xmpExt:Name><Iptc4xmpExt:RegionBoundary rdf:parseType="Resource"><Iptc4xmpExt:rbShape>polygon</Iptc4xmpExt:rbShape><Iptc4xmpExt:rbUnit>relative</Iptc4xmpExt:rbUnit><Iptc4xmpExt:rbVertices><rdf:Seq>${corners.join("")}</rdf:Seq></Iptc4xmpExt:rbVertices></Iptc4xmpExt:RegionBoundary></rdf:li></rdf:Bag></Iptc4xmpExt:ImageRegion></rdf:Description></rdf:RDF></x:xmpmeta>`;
}

describe("texts from files, however long, do not keep a run busy", { timeout: 180_000 }, () => {
  const polygon = (corners: number): string =>
    `polygon:${speck(corners)
      .map((pair) => pair.join(","))
      .join(" ")}`;

  test("a region of a thousand corners in a sidecar, which a message quotes", async () => {
    await writeFile(join(folder, "a.xmp"), sidecar());
    const { code, stdout } = await endsInTime("grade", "a.jpg", "--region", "iptc:subject");
    expect([code, stdout]).toEqual([3, expect.stringContaining("[region-empty]")]);
    await rm(join(folder, "a.xmp"));
  });

  test("the same in a brief, in every command that lays it out", async () => {
    await writeFile(join(folder, "brief.yaml"), `"**": { region: "${polygon(CORNERS)}" }\n`);
    for (const command of ["grade", "meter"]) {
      const { code, stdout } = await endsInTime(command, "a.jpg", "--brief", "brief.yaml");
      expect([code, stdout]).toEqual([3, expect.stringContaining("[region-empty]")]);
    }
    await writeFile(
      join(folder, "set.yaml"),
      `set: One\nframes:\n  a:\n    file: a.jpg\n    regions: { subject: "${polygon(CORNERS)}" }\n    claims:\n      - unclipped: {}\n`,
    );
    const { code, stdout } = await endsInTime("check", "set.yaml");
    expect([code, stdout]).toEqual([3, expect.stringContaining("[region-empty]")]);
  });

  test("twenty thousand corners are refused in a line that a person can read", async () => {
    const brief = `"**": { region: "polygon:${"0,0 1,0 1,1 0,1 ".repeat(5000).trim()}" }\n`;
    await writeFile(join(folder, "brief.yaml"), brief);
    const { code, stderr } = await endsInTime("grade", "a.jpg", "--brief", "brief.yaml");
    expect([code, stderr]).toEqual([2, expect.stringContaining("at most 1024 corners")]);
    expect(stderr.length).toBeLessThan(1000);
  });

  test("a message without end in a result that is merged", async () => {
    const row = await runTonefall(["grade", "gone.jpg", "-f", "ndjson"], {
      cwd: folder,
    });
    const long = row.stdout.replace(
      "There is no such file",
      "There is no such file ".repeat(100_000),
    );
    expect(long.length).toBeGreaterThan(2_000_000);
    await writeFile(join(folder, "part.ndjson"), long);
    const table = await endsInTime("merge", "part.ndjson");
    expect([table.code, table.stdout]).toEqual([3, expect.stringContaining("[no-such-file]")]);
    const json = await endsInTime("merge", "part.ndjson", "-f", "json");
    expect(json.stdout.length).toBeGreaterThan(2_000_000);
  });
});
