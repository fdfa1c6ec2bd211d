import { mkdirSync, rmSync } from "node:fs";
import path from "node:path";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import { freshJournal, smallWorld, type TestServer, testServer } from "../support/bench.ts";
import { madePng } from "../support/madePictures.ts";
import { chance, hostileTexts, oneOf } from "./hostile.ts";

export type Ids = Readonly<Record<string, readonly string[]>>;

/** A bench in the middle of its work: attempts of all kinds, one of them running, a log, readings and a picture. */
export async function abusedWorld(journal = freshJournal()): Promise<TestServer> {
  const server = await testServer(journal, { log: true });
  const { heavy, light, cupboard, frame } = await smallWorld(server);
  const attempt = async (build: string, more: object) =>
    (
      await server.send("POST", `/api/builds/${build}/attempts`, {
        ...{ workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 },
        ...more,
      })
    ).body.id as string;
  const first = await attempt(cupboard, { ambientC: 22, loadTempC: 80, note: "the first" });
  await attempt(cupboard, { clockMhz: 4700, outcome: "freeze", durationS: 60 });
  await attempt(cupboard, { workloadId: light, voltageMv: 1150, outcome: "stopped" });
  await attempt(frame, { powerW: 120, powerAt: "wall" });
  await attempt(frame, { clockMhz: 4650, outcome: "running", durationS: undefined, plannedS: 600 });
  await server.send("POST", `/api/attempts/${first}/trace`, sensorLog(300), { "content-type": "text/csv" });
  await server.send("POST", `/api/builds/${cupboard}/noise`, { distanceM: 0.5, levelsDba: [40, 41] });
  await server.send("POST", `/api/builds/${cupboard}/mounts`, { mountedAt: "2031-05-01T08:00:00Z" });
  await server.send("POST", `/api/builds/${cupboard}/pictures`, madePng(), { "content-type": "image/png" });
  mkdirSync(path.join(folderOf(server), "backups"));
  server.journal.backUpTo(path.join(folderOf(server), "backups", asItWas));
  await server.app.listen({ host: "127.0.0.1", port: 0 });
  return server;
}

/** Named so that no rule lets go of it. */
const asItWas = "journal-before-update-from-1.db";
const folderOf = ({ journal }: TestServer): string => path.dirname(journal.file);

/** Puts the world back as it was; things are named as before. */
export async function putBack(server: TestServer): Promise<void> {
  const { status, body } = await server.send("PUT", `/api/backups/${asItWas}/restoration`);
  if (status !== 200) throw new Error(`The world could not be put back: ${JSON.stringify(body)}`);
  rmSync(body.aside);
}

export const sensorLog = (rows: number): string =>
  [
    "Time [s],CPU temp [°C],Package power [W]",
    ...Array.from({ length: rows }, (_, s) => `${s},${(80 - 45 * Math.exp(-s / 120)).toFixed(1)},110`),
    "",
  ].join("\n");

const tableOf: Readonly<Record<string, string>> = {
  ...{ chips: "chips", boards: "boards", workloads: "workloads", rules: "rules", builds: "builds" },
  ...{ mounts: "mounts", attempts: "attempts", noise: "noise_readings", pictures: "pictures" },
};

export type RawBody = readonly [type: string, content: string | Buffer];
export type RawBodies = ReadonlyMap<string, RawBody>;

/** What the addresses that take no fields are sent, by the last word of the address. */
export async function rawBodiesOf({ send }: TestServer): Promise<RawBodies> {
  const [build] = (await send("GET", "/api/builds")).body.items;
  const lines = [
    '{"elapsedS":1,"temperatureC":60.5,"powerW":90}',
    '{"elapsedS":2,"constructor":61,"__proto__":1}',
    "",
  ];
  return new Map<string, RawBody>([
    ["trace", ["text/csv", sensorLog(40)]],
    ["samples", ["application/x-ndjson", lines.join("\n")]],
    ["attempts.csv", ["text/csv", (await send("GET", `/api/builds/${build.id}/attempts.csv`)).body]],
    ["pictures", ["image/png", madePng()]],
    ["import", ["application/json", JSON.stringify((await send("GET", "/api/export")).body)]],
  ]);
}

/** What a request may name, by the word of its kind in addresses. */
export function idsIn({ journal }: TestServer): Ids {
  const idsOf = (table: string) => journal.db.$client.prepare(`SELECT id FROM ${table}`).pluck().all();
  return Object.fromEntries(Object.entries(tableOf).map(([kind, table]) => [kind, idsOf(table) as string[]]));
}

/** Mostly the id of a thing of the kind, else of another, else none. */
export function anId(random: SeededRandom, ids: Ids, kind: string): string {
  const known = Object.hasOwn(ids, kind) ? ids[kind] : undefined;
  const others = Object.values(ids).flat();
  if (known?.length && chance(random, 0.92)) return oneOf(random, known);
  return chance(random, 0.5) && others.length > 0 ? oneOf(random, others) : oneOf(random, hostileTexts);
}
