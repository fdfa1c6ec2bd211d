import { defineConfig } from "vitest/config";

/** Where set, the counts are also written there as JSON, for a continuous check to read. */
const report = process.env.RUNGBOOK_TEST_REPORT;

export default defineConfig({
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  test: {
    include: ["test/**/*.test.ts", "test/**/*.test.tsx"],
    globalSetup: "test/support/workers.ts",
    pool: "forks",
    // What was transformed once is kept by its content, so that one test file starts at once.
    experimental: { fsModuleCache: true },
    maxWorkers: 2,
    // Bounds for what hangs, not for what is slow: a busy machine takes ten times as long and is right all the same.
    testTimeout: 180_000,
    hookTimeout: 120_000,
    expect: { poll: { timeout: 30_000 } },
    // What fails is told once more, and the report says so: whoever reads "retry" looks for the race, in the program first.
    retry: 1,
    reporters: report ? ["default", ["json", { outputFile: report }]] : ["default"],
    coverage: { provider: "v8", include: ["server/**"], reporter: ["text-summary"] },
  },
});
