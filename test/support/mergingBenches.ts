import { expect } from "vitest";
import { smallWorld, type TestServer, testServer } from "./bench.ts";
import { madeLog } from "./madeLog.ts";

export const exported = async ({ send }: TestServer) => (await send("GET", "/api/export")).body;
const without = (document: object) => ({ ...document, exportedAt: null });
export const take = async (into: TestServer, from: TestServer) =>
  (await into.send("POST", "/api/import", await exported(from))).body;
export const pass = { clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
export const form = { "content-type": "application/x-www-form-urlencoded" };
export const csv = { "content-type": "text/csv" };

/** Two benches that hold the same; the clock of the second is three days behind. */
export async function twoBenches() {
  const [here, there] = [await testServer(), await testServer()];
  const world = await smallWorld(here);
  const mounts = `/api/builds/${world.cupboard}/mounts`;
  const mount = (await here.send("POST", mounts, { mountedAt: "2031-05-01T08:00:00Z" })).body.id as string;
  await take(there, here);
  there.clock.pass(-3 * 86_400);
  const attemptOn = async (bench: TestServer, startedAt: string) =>
    (
      await bench.send("POST", `/api/builds/${world.cupboard}/attempts`, {
        ...{ ...pass, workloadId: world.heavy, startedAt },
      })
    ).body.id as string;
  return { here, there, world, mount, attemptOn };
}

/** One attempt with a trace and an output from each bench, neither knowing of the other's; those of the first came last. */
export async function writtenApart() {
  const { here, there, attemptOn } = await twoBenches();
  const id = await attemptOn(here, "2031-05-01T12:00:00Z");
  await take(there, here);
  await there.send("PATCH", `/api/attempts/${id}`, { output: "zero errors" });
  await there.send("POST", `/api/attempts/${id}/trace`, madeLog(300), csv);
  here.clock.pass(60);
  await here.send("POST", `/api/attempts/${id}/trace`, madeLog(600), csv);
  await here.send("PATCH", `/api/attempts/${id}`, { output: "all sums right" });
  const early = await exported(there);
  there.clock.pass(30 * 86_400);
  await bothTake(here, there);
  return { here, there, id, early };
}

export const gaveWay = ({ send }: TestServer, id: string, more = "") =>
  send("GET", `/api/attempts/${id}/gave-way${more}`);

/** A third bench that knows what this one does. */
export async function hearing(bench: TestServer): Promise<TestServer> {
  const third = await testServer();
  await take(third, bench);
  return third;
}

export const heldTrace = ({ journal }: TestServer, id: string) =>
  journal.traces.whole(id, ["temperature"]).get("temperature");

export const longLog = (rows: number): string =>
  ["Time (s),Temperature (°C)", ...Array.from({ length: rows }, (_, at) => `${at},${40 + (at % 30)}`)].join(
    "\n",
  );

export async function bothTake(here: TestServer, there: TestServer): Promise<void> {
  await take(here, there);
  await take(there, here);
  expect(without(await exported(there))).toEqual(without(await exported(here)));
}
