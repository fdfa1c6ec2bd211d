import { execFile } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { promisify } from "node:util";
import { expect, it } from "vitest";
import { smallWorld, temporaryFolder, testServer } from "../support/bench.ts";

const run = promisify(execFile);
const readme = readFileSync(path.resolve(import.meta.dirname, "../../README.md"), "utf8");

it("the script of the manual records a run of its own, reading by reading", async () => {
  const server = await testServer();
  const world = await smallWorld(server);
  await server.app.listen({ host: "127.0.0.1", port: 0 });
  const address = server.app.server.address();
  const port = typeof address === "object" && address ? address.port : 0;
  const sensor = path.join(temporaryFolder(), "temp1_input");
  writeFileSync(sensor, "61500\n");
  const script = /## Speak to it from your own script[\s\S]*?```sh\n([\s\S]*?)```/.exec(readme)?.[1] ?? "";
  const lines = script.trimEnd().split("\n");
  expect(lines).toHaveLength(10);
  lines[0] = `U=http://127.0.0.1:${port} B=${world.frame} W=${world.heavy} PLANNED=2 LOAD="sleep 3" SENSOR=${sensor}`;
  const { stdout } = await run("sh", ["-c", lines.join("\n")]);
  const told = JSON.parse(stdout);
  expect(told).toMatchObject({ outcome: "pass", plannedS: 2, buildId: world.frame });
  const { body } = await server.send("GET", `/api/attempts/${told.id}/trace?channel=temperature`);
  expect(body.t.length).toBeGreaterThanOrEqual(2);
  expect(new Set(body.mean)).toEqual(new Set([61]));
});
