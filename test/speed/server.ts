import { spawn } from "node:child_process";
import { once } from "node:events";
import path from "node:path";
import type { FastifyInstance } from "fastify";
import { reckoningsOn } from "../../server/answers/reckoned.ts";
import { buildApp } from "../../server/app.ts";
import { fileWorkOn } from "../../server/fileWork.ts";
import { assetsIn } from "../../server/pages/assets.ts";
import { reckonersIn } from "../../server/reckoner.ts";
import type { Journal } from "../../server/store/file/journal.ts";
import { root, theInstant } from "./journals.ts";

export type Served = Readonly<{ app: FastifyInstance; address: string }>;

/** The whole server on a journal, listening, with a hello beside its pages to measure against. */
export async function served(journal: Journal): Promise<Served> {
  const folders = { web: path.join(root, "dist", "web") };
  const reckoner = reckonersIn(path.join(root, "dist", "server", "workers"));
  const rooms = {
    workers: path.join(root, "dist", "server", "workers"),
    migrations: path.join(root, "migrations"),
    now: () => theInstant,
  };
  const fileWork = fileWorkOn(journal, rooms);
  const app = await buildApp({
    ...rooms,
    journal,
    files: fileWork.files,
    reckonings: reckoningsOn(journal, reckoner.reckon),
    version: "0.0.0",
    assets: assetsIn(folders),
    demo: false,
    folders,
    guard: { hosts: ["127.0.0.1"], knownAs: [] },
    passphrase: null,
    log: false,
  });
  app.get("/hello", (_request, reply) => reply.type("application/json").send('{"hello":"world"}'));
  app.addHook("onClose", () => Promise.all([reckoner.close(), fileWork.close()]));
  const address = await app.listen({ host: "127.0.0.1", port: 0 });
  return { app, address };
}

export type Program = Readonly<{ address: string; pid: number; end(): Promise<void>; kill(): void }>;

/** The program as anybody starts it, in a process of its own. */
export async function programOn(journal: string): Promise<Program> {
  const main = path.join(root, "dist", "server", "main.js");
  const child = spawn(process.execPath, [main, "--journal", journal, "--port", "0"]);
  child.stderr.pipe(process.stderr);
  const [first] = (await once(child.stdout, "data")) as [Buffer];
  const address = /^Listening on (\S+)/.exec(first.toString())?.[1];
  if (address === undefined || child.pid === undefined) throw new Error("The program did not start.");
  const end = async (): Promise<void> => {
    child.kill("SIGTERM");
    await once(child, "exit");
  };
  return { address, pid: child.pid, end, kill: () => void child.kill("SIGKILL") };
}
