import { existsSync } from "node:fs";
import path from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { describe, expect, inject, it } from "vitest";
import { importLog, type LogQuestion } from "../../server/actions/importLog.ts";
import { usualLogLimits } from "../../server/bench/logs/logLimits.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { migrations, theInstant } from "../support/bench.ts";
import { withThreads } from "../support/threads.ts";
import { tracedWorld } from "../support/tracedWorld.ts";

const worker = path.join(inject("workers"), "logImport.cjs");

async function* pieces(text: string, pieceBytes = 10_000): AsyncGenerator<Buffer> {
  const bytes = Buffer.from(text);
  for (let at = 0; at < bytes.length; at += pieceBytes) yield bytes.subarray(at, at + pieceBytes);
}

const logOf = (rows: number): string =>
  `Time [s],Core temp [°C],Power [W]\n${Array.from({ length: rows }, (_, at) => `${at},${40 + (at % 50) / 2},${140 + (at % 7)}\n`).join("")}`;

const wanted = (changes: Partial<LogQuestion> & Pick<LogQuestion, "source">): LogQuestion => ({
  limits: usualLogLimits,
  keep: null,
  matchesFor: (_names, proposal) => proposal,
  ...changes,
});

async function world() {
  const { journal, attemptId } = await tracedWorld();
  const keep = { journalFile: journal.file, migrations, attemptId, now: theInstant };
  return { journal, attemptId, keep };
}

describe("importLog", () => {
  it("has its worker built", () => {
    expect(existsSync(worker)).toBe(true);
  });

  it("keeps a log in the journal from its own thread, with progress, and tells what it held", async () => {
    const { journal, attemptId, keep } = await world();
    const progress: number[] = [];
    const source = pieces(`${logOf(400_000)}400000,41`, 100_000);
    const { log, trace } = await importLog(
      worker,
      wanted({ source, keep, onProgress: ({ rows }) => progress.push(rows) }),
    );
    expect(trace).toBeNull();
    expect(log).toMatchObject({
      rows: 400_000,
      fromS: 0,
      toS: 399_999,
      channels: [
        { channel: "temperature", unit: "°C" },
        { channel: "power", unit: "W" },
      ],
      skipped: [{ line: 400_002, because: "It is torn off." }],
    });
    expect(progress.length).toBeGreaterThan(0);
    expect(journal.traces.outline(attemptId)).toMatchObject({ rows: 400_000, source: "log" });
    const power = journal.traces.whole(attemptId, ["power"]).get("power");
    expect([power?.length, power?.[0], power?.[399_999]]).toEqual([400_000, 140, 140 + (399_999 % 7)]);
  });

  it("gives the packed trace back where it is to be kept by whoever asked", async () => {
    const { journal, attemptId } = await world();
    const { trace } = await importLog(worker, wanted({ source: pieces(logOf(9000)) }));
    journal.writeNow(() =>
      journal.traces.write(attemptId, trace!, { source: "log", startedAt: null }, theInstant),
    );
    expect(journal.traces.whole(attemptId, ["temperature"]).get("temperature")?.[8999]).toBe(
      40 + (8999 % 50) / 2,
    );
  });

  it("reads by the matches it is given", async () => {
    const matches = [
      { column: "Time [s]", channel: "time", unit: "min", everyS: null },
      { column: 3, channel: "my own", unit: "W", everyS: null },
    ];
    const { log } = await importLog(worker, wanted({ source: pieces(logOf(10)), matchesFor: () => matches }));
    expect(log).toMatchObject({ toS: 540, channels: [{ channel: "my own", unit: "W" }] });
  });

  it("refuses in a sentence and keeps nothing", async () => {
    const { journal, attemptId, keep } = await world();
    const refused = importLog(worker, wanted({ source: pieces("Time [s],Temp\n0,1\n"), keep }));
    await expect(refused).rejects.toMatchObject({ name: "Refusal", code: "invalid" });
    const large = importLog(
      worker,
      wanted({ source: pieces(logOf(5000)), keep, limits: { ...usualLogLimits, rows: 100 } }),
    );
    await expect(large).rejects.toMatchObject({ name: "Refusal", code: "too-large" });
    const unmatched = importLog(worker, wanted({ source: pieces(logOf(50)), keep, matchesFor: () => [] }));
    await expect(unmatched).rejects.toThrow("Say which column is which");
    expect(journal.traces.outline(attemptId)).toBeUndefined();
  });

  it("stops when it is cancelled, when the sender breaks off and when the attempt is not there, and keeps nothing", async () => {
    const { journal, attemptId, keep } = await world();
    const cancel = new AbortController();
    async function* endless(): AsyncGenerator<Buffer> {
      yield Buffer.from(logOf(20_000));
      for (let at = 20_000; ; at += 1) yield Buffer.from(`${at},50,140\n`.repeat(2000));
    }
    const running = importLog(
      worker,
      wanted({ source: endless(), keep, signal: cancel.signal, onProgress: () => cancel.abort() }),
    );
    await expect(running).rejects.toMatchObject({ name: "AbortError" });
    async function* broken(): AsyncGenerator<Buffer> {
      yield Buffer.from(logOf(20_000));
      throw new Error("The connection was closed.");
    }
    await expect(importLog(worker, wanted({ source: broken(), keep }))).rejects.toThrow(
      "connection was closed",
    );
    const nobody = { ...keep, attemptId: "nobody" };
    await expect(importLog(worker, wanted({ source: pieces(logOf(50)), keep: nobody }))).rejects.toThrow(
      /FOREIGN KEY/,
    );
    expect(journal.traces.outline(attemptId)).toBeUndefined();
    expect(journal.faults()).toEqual([]);
  });

  it("keeps a log whole or not at all though its thread is killed at any moment, and says so", async () => {
    const random = seededRandom(4);
    const ends = new Set<string>();
    await withThreads(async (threads) => {
      for (let round = 0; round < 12; round += 1) {
        const { journal, attemptId, keep } = await world();
        const { holdWrites } = journal;
        const answer = importLog(worker, wanted({ source: pieces(logOf(30_000)), keep, holdWrites })).then(
          ({ log }) => `${log.rows} rows`,
          (error: Error) => error.message,
        );
        await pause(900 * random.uniform());
        await threads.at(-1)?.terminate();
        const said = await answer;
        const held = journal.traces.outline(attemptId)?.rows;
        expect([undefined, 30_000]).toContain(held);
        if (said === "30000 rows") expect(held).toBe(30_000);
        else expect(said).toContain("read it again");
        expect(journal.faults()).toEqual([]);
        expect(await journal.write(() => "kept")).toBe("kept");
        ends.add(said);
      }
    });
    expect([...ends]).toContainEqual(expect.stringContaining("read it again"));
  });
});
