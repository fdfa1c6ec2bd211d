import { spawn } from "node:child_process";
import { writeFileSync } from "node:fs";
import path from "node:path";
import { inFolder, root } from "./journals.ts";
import { atMost, inTurn, type Measurement } from "./measurement.ts";

const emptyServer = `
  const server = require("node:http").createServer((request, response) => response.end());
  server.listen(0, "127.0.0.1", () => console.log("Listening on http://127.0.0.1:" + server.address().port));
`;

/** Milliseconds from starting Node on a file until it says that it listens. */
function untilListening(args: readonly string[]): Promise<number> {
  const startedAt = performance.now();
  const server = spawn(process.execPath, args, { stdio: ["ignore", "pipe", "inherit"] });
  return new Promise((resolve, reject) => {
    let took: number | undefined;
    server.stdout.once("data", (told: Buffer) => {
      took = told.toString().startsWith("Listening on ") ? performance.now() - startedAt : undefined;
      server.kill("SIGTERM");
    });
    server.once("error", reject);
    server.once("close", (code) => {
      if (took === undefined) reject(new Error(`The server ended with ${code} before it listened.`));
      else resolve(took);
    });
  });
}

const start: Measurement = {
  name: "start",
  goal: "from spawn to listening at most 2.5 x an empty Node HTTP server (stretch 1.7)",
  run: () =>
    inFolder(async (folder) => {
      const empty = path.join(folder, "empty.cjs");
      writeFileSync(empty, emptyServer);
      const program = path.join(root, "dist", "server", "main.js");
      const journal = path.join(folder, "journal.db");
      const found = await inTurn(
        () => untilListening([program, "--journal", journal, "--port", "0"]),
        () => untilListening([empty]),
        15,
      );
      return atMost(found, "ms", 2.5);
    }),
};

export const measurements: readonly Measurement[] = [start];
