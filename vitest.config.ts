import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["test/**/*.test.ts"],
    // Programs that tests start keep what they measure here, not in the user's own cache.
    env: { GOODGATE_CACHE: "build/test-cache" },
    testTimeout: 60_000,
    hookTimeout: 180_000,
    reporters: ["default", "json"],
    outputFile: { json: "build/test-results.json" },
  },
});
