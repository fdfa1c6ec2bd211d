import { readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { faultsOfFile } from "../../../server/store/file/journalFile.ts";
import { TracePacker } from "../../../server/store/traces/tracePacking.ts";
import { smallWorld, temporaryFolder, testServer, theInstant } from "../../support/bench.ts";

/** A closed journal of sixty attempts, five with a trace, and the ids of the attempts. */
async function filledFile(): Promise<{ file: string; ids: string[] }> {
  const server = await testServer();
  const { cupboard, heavy } = await smallWorld(server);
  const ids: string[] = [];
  for (let n = 0; n < 60; n++) {
    const draft = {
      workloadId: heavy,
      clockMhz: 4000 + 25 * n,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
    };
    const { body } = await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...draft,
      note: `run ${n}`,
    });
    ids.push(body.id);
    if (n % 12 === 0)
      server.journal.traces.write(body.id, traceOf(n), { source: "log", startedAt: null }, theInstant);
  }
  server.journal.close();
  return { file: server.journal.file, ids };
}

function traceOf(seed: number) {
  const random = seededRandom(seed);
  const packer = new TracePacker([{ channel: "temperature", unit: "°C" }]);
  for (const [from, rows] of [
    [0, 4096],
    [4096, 1000],
  ] as const) {
    const t = Float64Array.from({ length: rows }, (_, row) => (from + row) / 2);
    packer.add(rows, t, [t.map(() => 60 + Math.round(random.uniform() * 200) / 10)]);
  }
  return packer.finish();
}

function pagesOf(file: string, tables: readonly string[]): number[] {
  const client = new Database(file, { readonly: true });
  const pages = client.prepare("SELECT pageno FROM dbstat WHERE name = ? AND pagetype <> 'internal'").pluck();
  const found = tables.flatMap((table) => pages.all(table) as number[]);
  client.close();
  return found;
}

/** What the file says of attempts and traces; null where it cannot be read. */
function said(file: string): string | null {
  const client = new Database(file, { readonly: true });
  try {
    const rows = ["attempts", "trace_chunks"].map((table) =>
      client.prepare(`SELECT * FROM ${table}`).raw().all(),
    );
    return JSON.stringify(rows);
  } catch {
    return null;
  } finally {
    client.close();
  }
}

describe("faultsOfFile(file)", () => {
  it("finds every single bit that flips and changes what an attempt or a trace says", async () => {
    const { file } = await filledFile();
    expect(faultsOfFile(file)).toEqual([]);
    const [bytes, before] = [readFileSync(file), said(file)];
    const pages = pagesOf(file, ["attempts", "trace_chunks"]);
    const random = seededRandom(20310504);
    const copy = path.join(temporaryFolder(), "flipped.db");
    let changed = 0;
    for (let n = 0; n < 400; n++) {
      const page = pages[Math.floor(random.uniform() * pages.length)] as number;
      const at = (page - 1) * 4096 + Math.floor(random.uniform() * 4096);
      const bit = 1 << Math.floor(random.uniform() * 8);
      bytes[at] = (bytes[at] as number) ^ bit;
      writeFileSync(copy, bytes);
      bytes[at] = (bytes[at] as number) ^ bit;
      if (said(copy) === before) continue;
      changed += 1;
      expect(faultsOfFile(copy), `bit ${bit} of byte ${at}`).not.toEqual([]);
    }
    expect(changed).toBeGreaterThan(250);
  }, 120_000);

  it("names the attempt, and the trace with its channel and row", async () => {
    const { file, ids } = await filledFile();
    const client = new Database(file);
    client.prepare("UPDATE attempts SET note = 'run 8' WHERE id = ?").run(ids[7]);
    client.exec(
      `UPDATE trace_chunks SET packed = (SELECT packed FROM trace_chunks WHERE rowid = 1) WHERE rowid = 2`,
    );
    client.close();
    expect(faultsOfFile(file)).toEqual([
      `The attempt ${ids[7]} of 2031-05-04T13:27:00.000Z (4175 MHz at 1.2 V) does not hold what was written.`,
      `The trace of the attempt ${ids[0]} does not hold what was written: time, from row 4097 on.`,
    ]);
  });

  it("stays whole when mounts come and go, traces come and go, and attempts are edited, deleted and brought back", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const draft = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const { body } = await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...draft,
      throttled: true,
      tags: ["a"],
    });
    const address = `/api/attempts/${body.id}`;
    await server.send("POST", `/api/builds/${cupboard}/mounts`, { mountedAt: "2031-05-01T00:00:00.000Z" });
    await server.send("PATCH", address, {
      note: "hm",
      alsoSet: [{ name: "ring", value: "40", harder: "up" }],
      loadTempC: 71.3,
    });
    await server.send("DELETE", address);
    expect(server.journal.faults()).toEqual([]);
    await server.send("PUT", `${address}/restoration`);
    server.journal.traces.write(body.id, traceOf(1), { source: "log", startedAt: null }, theInstant);
    server.journal.traces.drop(body.id);
    expect(server.journal.faults()).toEqual([]);
    expect(server.journal.attempts.find(body.id)).toMatchObject({
      note: "hm",
      loadTempC: 71.3,
      throttled: true,
    });
  });
});
