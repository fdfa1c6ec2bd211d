import { type ChildProcess, spawn } from "node:child_process";
import path from "node:path";
import { afterEach } from "vitest";

export const program = path.resolve(import.meta.dirname, "../../dist/server/main.js");
const running: ChildProcess[] = [];
afterEach(() => {
  for (const child of running.splice(0)) child.kill("SIGKILL");
});

export type Ended = { code: number | null; out: string; err: string };

/** The built program, started as anybody would; killed after the test. */
export function started(
  args: readonly string[],
  { nodeFlags = [], ...options }: { uid?: number; nodeFlags?: readonly string[] } = {},
) {
  const child = spawn(process.execPath, [...nodeFlags, program, ...args], {
    ...options,
    env: { PATH: process.env.PATH },
  });
  running.push(child);
  let [out, err] = ["", ""];
  child.stdout.on("data", (chunk) => {
    out += chunk;
  });
  child.stderr.on("data", (chunk) => {
    err += chunk;
  });
  const ended = new Promise<Ended>((resolve) => child.on("close", (code) => resolve({ code, out, err })));
  const address = new Promise<string>((resolve, reject) => {
    child.stdout.on("data", () => {
      const found = /^Listening on (http:\/\/\S+)\n/.exec(out)?.[1];
      if (found) resolve(found);
    });
    ended.then(({ err: said }) => reject(new Error(said)));
  });
  address.catch(() => undefined);
  return { child, ended, address };
}
