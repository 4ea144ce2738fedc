import { configDefaults, defineConfig } from "vitest/config";

/** What `npm run mutation` tries mutants with: tone-core's own tests, but for the slowest, of what is not mutated. */
export default defineConfig({
  test: {
    include: ["packages/tone-core/src/**/*.test.ts"],
    exclude: [...configDefaults.exclude, "**/response/**", "**/histogram/**", "**/region/**"],
  },
});
