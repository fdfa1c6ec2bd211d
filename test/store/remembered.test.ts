import { describe, expect, it } from "vitest";
import { recordAttempt } from "../../server/actions/attempts.ts";
import { smallWorld, testServer } from "../support/bench.ts";

describe("the evidence of a build", () => {
  it("is read once until something is committed, and anew inside a write", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const { journal, clock } = server;
    const draft = {
      workloadId: heavy,
      clockMhz: 4600,
      voltageMv: 1200,
      outcome: "pass",
      durationS: 900,
    } as const;
    const record = () => recordAttempt(cupboard, draft, { journal, now: clock.now() });
    journal.writeNow(record);
    const first = journal.attempts.evidenceOf(cupboard);
    expect(first).toHaveLength(1);
    expect(journal.attempts.evidenceOf(cupboard)).toBe(first);
    const within = journal.writeNow(() => {
      record();
      return journal.attempts.evidenceOf(cupboard).length;
    });
    expect([within, journal.attempts.evidenceOf(cupboard).length, first.length]).toEqual([2, 2, 1]);
  });
});
