import { mergeConfig } from "vitest/config";
import usual from "../../vitest.config.ts";

/** The suite with a note of what ran in each file. */
export default mergeConfig(usual, { test: { setupFiles: ["test/mutate/whatRan.ts"] } });
