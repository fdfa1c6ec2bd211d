import { defineConfig } from "drizzle-kit";

export default defineConfig({
  dialect: "sqlite",
  schema: [
    "./server/store/rows/schema.ts",
    "./server/store/rows/historySchema.ts",
    "./server/store/traces/traceSchema.ts",
    "./server/store/parts/pictureSchema.ts",
    "./server/store/parts/writeUpSchema.ts",
    "./server/store/parts/keptAnswerSchema.ts",
    "./server/store/traces/captureSchema.ts",
  ],
  out: "./migrations",
});
