import { describe, expect, it } from "vitest";
import { recordAttempt } from "../../../server/actions/attempts.ts";
import type { AttemptDraft } from "../../../server/bench/things/attempt.ts";
import { smallWorld, testServer } from "../../support/bench.ts";

describe("what hangs on an attempt", () => {
  it("is noted once the attempt has ended; while it runs it is part of it", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const { journal, clock } = server;
    const setting = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200 };
    const recorded = (ended: Pick<AttemptDraft, "outcome" | "durationS">): string =>
      journal.writeNow(() => recordAttempt(cupboard, { ...setting, ...ended }, { journal, now: clock.now() }))
        .id;
    const ended = recorded({ outcome: "pass", durationS: 900 });
    const running = recorded({ outcome: "running" });
    const noted = (id: string): unknown => {
      clock.pass(1);
      const before = journal.attempts.accountOf(id);
      journal.writeNow(() => journal.attempts.noteHanging(id, "trace", clock.now()));
      const after = journal.attempts.accountOf(id);
      return JSON.stringify(after) === JSON.stringify(before) ? "nothing" : "trace";
    };
    expect([noted(ended), noted(running), noted("of no attempt")]).toEqual(["trace", "nothing", "nothing"]);
  });
});
