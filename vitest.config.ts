import { defineConfig } from "vitest/config";

/** Where set, the counts are also written there as JSON, for a continuous check to read. */
const report = process.env.RUNGBOOK_TEST_REPORT;

export default defineConfig({
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  test: {
    include: ["test/**/*.test.ts", "test/**/*.test.tsx"],
    globalSetup: "test/support/workers.ts",
    pool: "forks",
    maxWorkers: 2,
    testTimeout: 60_000,
    hookTimeout: 60_000,
    reporters: report ? ["default", ["json", { outputFile: report }]] : ["default"],
    coverage: { provider: "v8", include: ["server/**"], reporter: ["text-summary"] },
  },
});
