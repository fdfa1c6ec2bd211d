import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";

const root = path.resolve(import.meta.dirname, "../..");

/** After every thread collected its garbage three times: the process's own pages, and what all threads hold. */
export type Settled = Readonly<{ ownBytes: number; heldBytes: number }>;

export type SoakedServer = Readonly<{
  url: string;
  settled(): Promise<Settled>;
  /** Ends it and takes its journal away. */
  end(): Promise<void>;
}>;

/** The built program on a journal of its own, a process that can be asked to settle. */
export async function soakedServer(): Promise<SoakedServer> {
  const folder = mkdtempSync(path.join(os.tmpdir(), "rungbook-soak-"));
  const program = path.join(root, "dist/server/main.js");
  const preloaded = ["--expose-gc", "--require", path.join(import.meta.dirname, "settle.cjs")];
  const journal = path.join(folder, "journal.db");
  const child = spawn(process.execPath, [...preloaded, program, "--port", "0", "--journal", journal], {
    cwd: root,
    stdio: ["ignore", "pipe", "inherit", "ipc"],
  });
  const end = async (): Promise<void> => {
    if (child.exitCode === null && child.signalCode === null) {
      child.kill("SIGKILL");
      await once(child, "exit");
    }
    rmSync(folder, { recursive: true, force: true });
  };
  try {
    return { url: await addressOf(child), settled: () => askedToSettle(child), end };
  } catch (error) {
    await end();
    throw error;
  }
}

async function askedToSettle(child: ChildProcess): Promise<Settled> {
  child.send("settle");
  const [said] = (await once(child, "message")) as [Settled];
  return said;
}

const addressOf = (child: ChildProcess): Promise<string> =>
  new Promise((resolve, reject) => {
    child.stdout?.on("data", (chunk) => {
      const [, url] = /^Listening on (http:\S+)/m.exec(String(chunk)) ?? [];
      if (url) resolve(url);
    });
    child.once("exit", (code) => reject(new Error(`The server ended with ${code}; is it built?`)));
  });
