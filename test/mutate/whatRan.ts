import { mkdirSync, writeFileSync } from "node:fs";
import { Session } from "node:inspector/promises";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, expect } from "vitest";

/** Set up before each test file: writes down, once that is through, which functions of the program ran in it. */
const folder = process.env.WHAT_RAN ?? "";
const server = path.join(import.meta.dirname, "..", "..", "server") + path.sep;

const session = new Session();
session.connect();
await session.post("Profiler.enable");
await session.post("Profiler.startPreciseCoverage", { callCount: true, detailed: false });

afterAll(async () => {
  const { result } = await session.post("Profiler.takePreciseCoverage");
  const ran = result.flatMap(({ url, functions }) => {
    const file = url.startsWith("file:") ? fileURLToPath(url) : url;
    if (!file.startsWith(server)) return [];
    const names = functions.flatMap(({ functionName, ranges: [whole] }) =>
      functionName !== "" && whole !== undefined && whole.count > 0 ? [functionName] : [],
    );
    return [[path.relative(path.dirname(server), file), [...new Set(names)]]];
  });
  const test = path.relative(path.dirname(server), expect.getState().testPath ?? "");
  mkdirSync(folder, { recursive: true });
  writeFileSync(
    path.join(folder, `${test.replaceAll(path.sep, "+")}.json`),
    JSON.stringify({ test, ran: Object.fromEntries(ran) }),
  );
});
