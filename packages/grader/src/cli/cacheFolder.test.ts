import { join } from "node:path";
import { expect, test, vi } from "vitest";

test("a user without a home has no cache but the one that is named", async () => {
  vi.doMock("env-paths", refuse);
  const { cacheFolder } = await import("./cacheFolder.ts");
  expect(cacheFolder({ env: {} })).toBeNull();
  expect(cacheFolder({ env: { TONEFALL_CACHE: "kept" } })).toBe(join("kept", "rows"));
});

function refuse(): never {
  throw new Error("A system error occurred: uv_os_homedir returned ENOENT");
}
