import { type ChildProcess, spawn } from "node:child_process";
import { existsSync } from "node:fs";
import path from "node:path";

const root = path.resolve(import.meta.dirname, "../..");

export type Served = Readonly<{
  url: string;
  journal: string;
  /** Ends it as a power cut would. */
  kill(): Promise<void>;
}>;

/** The real program on a journal that is named, as a process of its own. */
export async function serving(journal: string, more: readonly string[] = []): Promise<Served> {
  const built = path.join(root, "dist/server/main.js");
  const program = existsSync(built) ? [built] : ["--import", "tsx", path.join(root, "server/main.ts")];
  const child = spawn(process.execPath, [...program, "--port", "0", "--journal", journal, ...more], {
    cwd: root,
    stdio: ["ignore", "pipe", "pipe"],
  });
  const kill = () => ended(child);
  try {
    return { url: await addressOf(child), journal, kill };
  } catch (error) {
    await kill();
    throw error;
  }
}

async function addressOf(child: ChildProcess): Promise<string> {
  let said = "";
  return new Promise((resolve, reject) => {
    child.stderr?.on("data", (chunk) => {
      said += chunk;
    });
    child.stdout?.on("data", (chunk) => {
      const [, url] = /^Listening on (http:\S+)/m.exec(String(chunk)) ?? [];
      if (url) resolve(url);
    });
    child.once("exit", (code) => reject(new Error(`The server ended with ${code}: ${said}`)));
  });
}

const ended = (child: ChildProcess): Promise<void> =>
  new Promise((resolve) => {
    if (child.exitCode !== null || child.signalCode !== null) return resolve();
    child.once("exit", () => resolve());
    child.kill("SIGKILL");
  });
