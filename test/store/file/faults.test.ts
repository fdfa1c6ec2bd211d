import path from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { faultsOfFile } from "../../../server/store/file/journalFile.ts";
import { TracePacker } from "../../../server/store/traces/tracePacking.ts";
import { smallWorld, temporaryFolder, testServer, theInstant } from "../../support/bench.ts";
import { layOut, released } from "./keptJournals.ts";

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

describe("faultsOfFile(file)", () => {
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
      `The trace of the attempt ${ids[0]} (time, from row 4097 on) does not hold what was written.`,
    ]);
  });

  it("names whatever else does not hold what was written", async () => {
    const { file, ids } = await filledFile();
    const client = new Database(file);
    client.exec(`UPDATE chips SET name = 'Tern 9', checksum = checksum; UPDATE boards SET note = 'x' WHERE rowid = 1;
      UPDATE trace_overviews SET buckets = zeroblob(40) WHERE rowid = 1; UPDATE build_states SET parts = '{}' WHERE id = 1`);
    const { chip, board, build } = client
      .prepare(
        "SELECT c.id AS chip, b.id AS board, s.build_id AS build FROM chips c, boards b, build_states s WHERE s.id = 1 AND b.rowid = 1",
      )
      .get() as Record<string, string>;
    client.close();
    expect(faultsOfFile(file).sort()).toEqual([
      `State 1 of the parts of the build ${build} does not hold what was written.`,
      expect.stringMatching(new RegExp(`^The board .* \\(${board}\\) does not hold what was written.$`)),
      `The chip Tern 9 (${chip}) does not hold what was written.`,
      `The trace of the attempt ${ids[0]} (time, the overview of 256 rows) does not hold what was written.`,
    ]);
  });

  it("misses a chunk that holds readings, and an overview, and none that never was", async () => {
    const { file, ids } = await filledFile();
    const client = new Database(file);
    client.exec(`DELETE FROM trace_chunks WHERE channel_id = 2 AND chunk = 1;
      DELETE FROM trace_overviews WHERE channel_id = 4 AND level IN (512, 4096)`);
    client.close();
    expect(faultsOfFile(file)).toEqual([
      `The trace of the attempt ${ids[12]} (temperature, the overview of 4096 rows) is gone.`,
      `The trace of the attempt ${ids[0]} (temperature, from row 4097 on) is gone.`,
    ]);
  });

  it("does not miss chunks of a channel that a live trace had only later", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const draft = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 9000 };
    const { body } = await server.send("POST", `/api/builds/${cupboard}/attempts`, draft);
    const add = (from: number, rows: number, channels: readonly string[]) =>
      server.journal.traces.append(
        body.id,
        {
          channels: channels.map((channel) => ({ channel, unit: "°C" })),
          t: Array.from({ length: rows }, (_, row) => from + row),
          values: channels.map(() => Array.from({ length: rows }, () => 61.5)),
        },
        null,
        theInstant,
      );
    add(0, 5000, ["temperature"]);
    add(5000, 4000, ["temperature", "hotspot"]);
    expect(server.journal.faults()).toEqual([]);
  });

  it.each(Array.from({ length: released }, (_, at) => at + 1))(
    "finds nothing wrong with the journal that version %i of the schema left",
    (steps) => {
      const file = path.join(temporaryFolder(), "old.db");
      layOut(steps, file);
      expect(faultsOfFile(file)).toEqual([]);
    },
  );

  it("tells a description of the tables, or a header, that is not what was written", async () => {
    const { file } = await filledFile();
    const client = new Database(file);
    client.pragma("user_version = 3");
    client.close();
    expect(faultsOfFile(file)).toEqual([
      "The header of the file does not say rightly which version wrote it.",
    ]);
    const other = new Database(file);
    other.unsafeMode();
    other.pragma("writable_schema = ON");
    other.exec("UPDATE sqlite_schema SET sql = replace(sql, '20000000', '20000001') WHERE name = 'attempts'");
    other.close();
    expect(faultsOfFile(file)).toEqual([
      "The description of the tables in the file is not what was written.",
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
