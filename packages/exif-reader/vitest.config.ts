import { defineProject } from "vitest/config";

export default defineProject({
  resolve: { conditions: ["@tonefall/source"] },
  ssr: { resolve: { conditions: ["@tonefall/source"] } },
  test: { name: "exif-reader", typecheck: { enabled: true }, testTimeout: 60_000 },
});
