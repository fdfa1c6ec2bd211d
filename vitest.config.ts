import { defineConfig } from "vitest/config";

export default defineConfig({
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  test: {
    include: ["test/**/*.test.ts", "test/**/*.test.tsx"],
    pool: "forks",
    testTimeout: 60_000,
    hookTimeout: 60_000,
    coverage: { provider: "v8", include: ["server/**"], reporter: ["text-summary"] },
  },
});
