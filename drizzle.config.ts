import { defineConfig } from "drizzle-kit";

export default defineConfig({ dialect: "sqlite", schema: ["./server/store/schema.ts", "./server/store/traceSchema.ts"], out: "./migrations" });
