import { subscribe, unsubscribe } from "node:diagnostics_channel";
import { setTimeout as pause } from "node:timers/promises";
import type { Worker } from "node:worker_threads";
import { describe, expect, it, vi } from "vitest";
import { wholeJournalText } from "../../server/answers/wholeJournal.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { freshJournal, smallWorld, testServer, theInstant } from "../support/bench.ts";
import { fillInBulk } from "../support/bulkRecord.ts";

/** An export with so many attempts. */
function documentOf(attempts: number): string {
  const journal = freshJournal();
  fillInBulk(journal, { builds: 2, attempts, seed: 7 });
  return [...wholeJournalText(journal, theInstant)].join("");
}

const json = { "content-type": "application/json" };

/** Threads as they are begun; those that read a document are the only ones here. */
async function withThreads<Result>(work: (threads: Worker[]) => Promise<Result>): Promise<Result> {
  const threads: Worker[] = [];
  const heard = (message: unknown) => threads.push((message as { worker: Worker }).worker);
  subscribe("worker_threads", heard);
  try {
    return await work(threads);
  } finally {
    unsubscribe("worker_threads", heard);
  }
}

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
});
