import { defineConfig } from "drizzle-kit";

export default defineConfig({
  dialect: "sqlite",
  schema: [
    "./server/store/schema.ts",
    "./server/store/traceSchema.ts",
    "./server/store/pictureSchema.ts",
    "./server/store/writeUpSchema.ts",
    "./server/store/captureSchema.ts",
  ],
  out: "./migrations",
});
