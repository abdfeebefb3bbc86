import { defineConfig } from "vitest/config";

const LONG = "test/**/*.long.test.ts";

export default defineConfig({
  test: {
    projects: [
      { extends: true, test: { name: "quick", include: ["test/**/*.test.ts"], exclude: [LONG] } },
      { extends: true, test: { name: "long", include: [LONG] } },
    ],
    // Programs that tests start keep what they measure here, not in the user's own cache.
    env: { GOODGATE_CACHE: "build/test-cache" },
    // One for each core of the smallest machine that this is worked on with; left alone, one core does nothing.
    maxWorkers: 2,
    testTimeout: 60_000,
    hookTimeout: 180_000,
    reporters: ["default", "json"],
    outputFile: { json: "build/test-results.json" },
  },
});
