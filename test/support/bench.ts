import { randomBytes } from "node:crypto";
import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import type { FastifyInstance } from "fastify";
import { afterEach, inject } from "vitest";
import { ensureStandardRule } from "../../server/actions/parts.ts";
import { type Reckon, reckoningsOn } from "../../server/answers/reckoned.ts";
import { buildApp } from "../../server/app.ts";
import { fileWorkOn } from "../../server/fileWork.ts";
import type { GuardOptions } from "../../server/guard.ts";
import type { PatienceOptions } from "../../server/patience.ts";
import { reckonersIn } from "../../server/reckoner.ts";
import { type Journal, openJournal } from "../../server/store/file/journal.ts";

const root = path.resolve(import.meta.dirname, "../..");
export const migrations = path.join(root, "migrations");
export const theInstant = "2031-05-04T13:42:00.000Z";

const toClean: (() => void | Promise<void>)[] = [];
afterEach(async () => {
  for (const clean of toClean.splice(0).reverse()) await clean();
});

export function temporaryFolder(): string {
  const folder = mkdtempSync(path.join(os.tmpdir(), "rungbook-test-"));
  toClean.push(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** A real journal in a temporary folder, closed and removed after the test. */
export function freshJournal(file = path.join(temporaryFolder(), "journal.db")): Journal {
  const journal = openJournal(file, { migrations, randomBytes });
  ensureStandardRule({ journal });
  toClean.push(() => journal.close());
  return journal;
}

/** A clock that stands until it is moved. */
export function fixedClock(instant = theInstant) {
  let at = Date.parse(instant);
  return {
    now: () => new Date(at).toISOString(),
    pass: (seconds: number) => {
      at += seconds * 1000;
    },
  };
}

export type TestServer = Readonly<{
  app: FastifyInstance;
  journal: Journal;
  clock: ReturnType<typeof fixedClock>;
  send(
    method: "GET" | "POST" | "PATCH" | "PUT" | "DELETE",
    url: string,
    body?: unknown,
    headers?: object,
  ): Promise<Sent>;
}>;
// biome-ignore lint/suspicious/noExplicitAny: an answer is read by the test that asked for it
export type Sent = { status: number; body: any; headers: Record<string, unknown> };

type TestServerOptions = Readonly<{
  sensorRoot?: string;
  reckon?: Reckon;
  patience?: PatienceOptions;
  passphrase?: string;
  guard?: GuardOptions;
  /** Tells faults on standard error. */
  log?: boolean;
}>;

/** The whole server on a fresh journal, asked without a network. */
export async function testServer(
  journal: Journal = freshJournal(),
  { reckon, ...more }: TestServerOptions = {},
): Promise<TestServer> {
  const clock = fixedClock();
  const workers = inject("workers");
  const reckoner = reckonersIn(workers);
  toClean.push(() => reckoner.close());
  const fileWork = fileWorkOn(journal, { workers, migrations, now: clock.now });
  toClean.push(() => fileWork.close());
  const app = await buildApp({
    journal,
    files: fileWork.files,
    reckonings: reckoningsOn(journal, reckon ?? reckoner.reckon),
    workers,
    migrations,
    now: clock.now,
    version: "0.0.0",
    assets: {
      stylesheet: "/web/notebook.css",
      benchStyles: "/web/bench.css",
      accountStyles: "/web/account.css",
      script: "/web/start.js",
      swaps: "/vendor/htmx/htmx.min.js",
      swapping: "/web/swapping.js",
    },
    demo: false,
    folders: { web: path.join(root, "web") },
    guard: { hosts: [], knownAs: [] },
    passphrase: null,
    log: false,
    ...more,
  });
  toClean.push(() => app.close());
  return {
    app,
    journal,
    clock,
    send: async (method, url, body, headers = {}) => {
      const reply = await app.inject({
        method,
        url,
        headers: { ...headers },
        ...(body === undefined ? {} : { payload: body as object }),
      });
      const json = String(reply.headers["content-type"] ?? "").includes("json");
      return { status: reply.statusCode, body: json ? reply.json() : reply.body, headers: reply.headers };
    },
  };
}

/** A named world: a chip with a limit of 95 °C, two boards, loads light, heavy and idle, and a build on each board. */
export async function smallWorld({ send }: TestServer) {
  const made = async (url: string, body: object) => (await send("POST", url, body)).body.id as string;
  const chip = await made("/api/chips", {
    name: "Tern 8",
    kind: "cpu",
    tempLimitC: 95,
    voltageCeilingMv: 1350,
    stockClockMhz: 4000,
    stockVoltageMv: 1150,
  });
  const [small, large] = [
    await made("/api/boards", { name: "Quay S", corePhases: 6, phaseRatingA: 50 }),
    await made("/api/boards", { name: "Quay L", corePhases: 12, phaseRatingA: 60 }),
  ];
  const heavy = await made("/api/workloads", { name: "Stacking", kind: "all-core", severity: 10 });
  const light = await made("/api/workloads", { name: "Browsing", kind: "everyday", severity: 1 });
  const idle = await made("/api/workloads", { name: "Idle", kind: "idle" });
  const cupboard = await made("/api/builds", { name: "Cupboard", chipId: chip, boardId: small });
  const frame = await made("/api/builds", { name: "Open frame", chipId: chip, boardId: large });
  return { chip, small, large, heavy, light, idle, cupboard, frame };
}
