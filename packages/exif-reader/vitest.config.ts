import { defineProject } from "vitest/config";

export default defineProject({
  resolve: { conditions: ["@tonefall/source", "node"] },
  ssr: { resolve: { conditions: ["@tonefall/source", "node"] } },
  test: { name: "exif-reader", typecheck: { enabled: true }, testTimeout: 60_000 },
});
