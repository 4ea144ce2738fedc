import { mkdtemp } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { RENDERED_MEASURING } from "@tonefall/tone-core";
import sharp from "sharp";
import { expect, test } from "vitest";
import { toneKey } from "./frameFacts.ts";
import { measureFacts } from "./measureFacts.ts";
import type { ReadyFrame } from "./readySet.ts";

test("facts are measured without a placement: no error, verdict, cause or advice, and how well the fall is known", async () => {
  const folder = await mkdtemp(join(tmpdir(), "tonefall facts "));
  const flat = { width: 60, height: 40, channels: 3 as const, background: "#f0f0f0" };
  await sharp({ create: flat }).png().toFile(join(folder, "a.png"));
  const frame = { id: "a", file: "a.png", regions: {}, claims: [], pin: null };
  const ask = { region: "whole", basis: null };
  const facts = await measureFacts(folder, frame as unknown as ReadyFrame, {
    tones: [ask],
    readings: true,
  });
  const row = facts.tones.get(toneKey(ask));
  expect(row).toMatchObject({
    placement: null,
    error: null,
    verdict: null,
    causes: [],
    next: null,
  });
  expect(row?.fall?.uncertainty).toBe(RENDERED_MEASURING);
  expect(row?.readings?.length).toBeGreaterThan(0);
});
