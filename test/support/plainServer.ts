import { randomBytes } from "node:crypto";
import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import type { FastifyInstance } from "fastify";
import type { JournalFiles } from "../../server/actions/journalFiles.ts";
import { ensureStandardRule } from "../../server/actions/parts.ts";
import { type Attendants, attendants } from "../../server/answers/attendants.ts";
import { reckoningsOn } from "../../server/answers/reckoned.ts";
import { buildApp } from "../../server/app.ts";
import { type Journal, openJournal } from "../../server/store/file/journal.ts";

const root = path.resolve(import.meta.dirname, "../..");

export type PlainServer = Readonly<{
  app: FastifyInstance;
  journal: Journal;
  attendants: Attendants;
  /** Moves the server's clock on. */
  pass(seconds: number): void;
  send(method: "GET" | "POST" | "PUT" | "PATCH", url: string, body?: object): Promise<PlainAnswer>;
  close(): Promise<void>;
}>;
// biome-ignore lint/suspicious/noExplicitAny: an answer is read by whoever asked for it
type PlainAnswer = Readonly<{ status: number; body: any }>;

/** The whole server on a journal in a temporary folder, without the threads that reckon: for runs that only record. */
export async function plainServer(instant = "2031-05-04T13:42:00.000Z"): Promise<PlainServer> {
  const folder = mkdtempSync(path.join(os.tmpdir(), "rungbook-plain-"));
  const journal = openJournal(path.join(folder, "journal.db"), {
    migrations: path.join(root, "migrations"),
    randomBytes,
  });
  let at = Date.parse(instant);
  const now = (): string => new Date(at).toISOString();
  ensureStandardRule({ journal });
  const attending = attendants();
  const app = await buildApp({
    attendants: attending,
    ...{ journal, now, version: "0.0.0", demo: false, log: false, workers: "", migrations: "" },
    files: {} as JournalFiles,
    reckonings: reckoningsOn(journal, () => Promise.reject(new Error("Nothing is reckoned here."))),
    assets: {
      stylesheet: "/web/notebook.css",
      benchStyles: "/web/bench.css",
      accountStyles: "/web/account.css",
      script: "/web/start.js",
      swaps: "/web/swaps.js",
      swapping: "/web/swapping.js",
    },
    folders: { web: path.join(root, "web") },
    guard: { hosts: [], knownAs: [] },
    passphrase: null,
  });
  return {
    app,
    journal,
    attendants: attending,
    pass: (seconds) => {
      at += seconds * 1000;
    },
    send: async (method, url, body) => {
      const reply = await app.inject({ method, url, ...(body === undefined ? {} : { payload: body }) });
      const isJson = String(reply.headers["content-type"] ?? "").includes("json");
      return { status: reply.statusCode, body: isJson ? reply.json() : reply.body };
    },
    close: async () => {
      await app.close();
      journal.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
