import { setTimeout as pause } from "node:timers/promises";
import { describe, expect, it, vi } from "vitest";
import { wholeJournalText } from "../../server/answers/wholeJournal.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { freshJournal, smallWorld, testServer, theInstant } from "../support/bench.ts";
import { fillInBulk } from "../support/bulkRecord.ts";
import { withThreads } from "../support/threads.ts";

/** An export with so many attempts. */
function documentOf(attempts: number): string {
  const journal = freshJournal();
  fillInBulk(journal, { builds: 2, attempts, seed: 7 });
  return [...wholeJournalText(journal, theInstant)].join("");
}

const json = { "content-type": "application/json" };

describe("an import", () => {
  it("is whole or absent though its thread is killed at any moment, and says so", async () => {
    const document = documentOf(400);
    const whole = await testServer();
    const { added } = (await whole.send("POST", "/api/import", document, json)).body;
    const random = seededRandom(3);
    const ends = new Set<number>();
    await withThreads(async (threads) => {
      for (let round = 0; round < 12; round += 1) {
        const { send, journal } = await testServer();
        const answer = send("POST", "/api/import", document, json);
        await pause(900 * random.uniform());
        await threads.at(-1)?.terminate();
        const { status, body } = await answer;
        const held = journal.attempts.count();
        expect([0, 400]).toContain(held);
        if (status === 200) expect([body.added, held]).toEqual([added, 400]);
        else expect([status, body.error.message]).toEqual([409, expect.stringContaining("import it again")]);
        expect((await send("POST", "/api/boards", { name: "Mole" })).status).toBe(201);
        ends.add(status);
      }
    });
    expect(ends).toContain(409);
  });

  it("begins no thread for what does not begin like an export, and refuses it in the same words", async () => {
    const { send } = await testServer();
    await withThreads(async (threads) => {
      for (const sent of ["time;die\n0;40\n", "", "[1, 2]"]) {
        const { status, body } = await send("POST", "/api/import", sent, json);
        expect([status, body.error.message]).toEqual([400, expect.stringMatching(/exported? /)]);
      }
      expect(threads).toHaveLength(0);
      expect((await send("POST", "/api/import", documentOf(2), json)).status).toBe(200);
      expect(threads).toHaveLength(1);
    });
  });

  it("lets reads go on and writes wait while it holds the journal", async () => {
    const { send, journal } = await testServer();
    await smallWorld({ send } as never);
    const release = journal.holdWrites();
    let kept = false;
    const write = send("POST", "/api/boards", { name: "Mole" }).then((answer) => {
      kept = true;
      return answer;
    });
    expect((await send("GET", "/api/boards")).body.items).toHaveLength(2);
    await pause(30);
    expect(kept).toBe(false);
    release();
    expect((await write).status).toBe(201);
  });

  it("tells a write that waits too long, and keeps nothing of it", async () => {
    const journal = freshJournal();
    vi.useFakeTimers({ toFake: ["setTimeout"] });
    try {
      const release = journal.holdWrites();
      const done: string[] = [];
      const write = journal.write(() => done.push("kept")).catch((error: Error) => error.message);
      vi.advanceTimersByTime(10_001);
      expect(await write).toContain("being taken in just now");
      release();
      await journal.write(() => done.push("next"));
      expect(done).toEqual(["next"]);
    } finally {
      vi.useRealTimers();
    }
  });

  it("is done once for a key, in whatever order its sections come, and refused for another document", async () => {
    const document = JSON.parse(documentOf(20));
    const { send, journal } = await testServer();
    const keyed = (body: object) =>
      send("POST", "/api/import", JSON.stringify(body), { ...json, "idempotency-key": "evening" });
    const first = await keyed(document);
    const turned = Object.fromEntries(Object.entries(document).reverse());
    const again = await keyed(turned);
    expect([again.status, again.body]).toEqual([first.status, first.body]);
    expect(first.body.added).toBeGreaterThan(20);
    const other = await keyed({ ...document, attempts: document.attempts.slice(1) });
    expect([other.status, other.body.error.code]).toEqual([409, "conflict"]);
    expect(journal.attempts.count()).toBe(20);
  });

  it("takes its turn at the journal before its thread writes, as files of attempts and logs do, and gives it back", async () => {
    const own = freshJournal();
    const turns: string[] = [];
    const holdWrites = () => {
      const letGo = own.holdWrites();
      turns.push("taken");
      return () => {
        turns.push("given back");
        letGo();
      };
    };
    const { send } = await testServer({ ...own, holdWrites });
    const { cupboard, heavy } = await smallWorld({ send } as never);
    const run = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 60 };
    const { id } = (await send("POST", `/api/builds/${cupboard}/attempts`, run)).body;
    const csv = { "content-type": "text/csv" };
    const lines = "workload;clockMhz;voltageMv;outcome;durationS\nStacking;4100;1200;pass;61\n";
    const log = `time;die\n${Array.from({ length: 30 }, (_, s) => `${s};${40 + s}`).join("\n")}\n`;
    for (const [url, body, type, status] of [
      ["/api/import", documentOf(4), json, 200],
      [`/api/builds/${cupboard}/attempts.csv`, lines, csv, 201],
      [`/api/attempts/${id}/trace`, log, csv, 201],
    ] as const) {
      turns.length = 0;
      expect([url, (await send("POST", url, body, type)).status, turns]).toEqual([
        ...[url, status, ["taken", "given back"]],
      ]);
    }
  });
});
