import { describe, expect, it } from "vitest";
import { recordAttempt, removeAttempt } from "../../server/actions/attempts.ts";
import { tidyUp } from "../../server/actions/tidyUp.ts";
import { smallWorld, testServer } from "../support/bench.ts";

describe("tidyUp", () => {
  it("lets go of what was deleted more than a day ago, and of nothing else", async () => {
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
    const record = () =>
      journal.writeNow(() => recordAttempt(cupboard, draft, { journal, now: clock.now() })).id;
    const [long, lately, kept] = [record(), record(), record()];
    const remove = (id: string) =>
      journal.writeNow(() => removeAttempt(id, null, { journal, now: clock.now() }));
    remove(long);
    clock.pass(3600);
    remove(lately);
    clock.pass(86_400 - 1800);
    journal.writeNow(() => tidyUp({ journal, now: clock.now() }));
    expect(journal.attempts.removed(10).map(({ id }) => id)).toEqual([lately]);
    expect(journal.attempts.allOf(cupboard).map(({ id }) => id)).toEqual([kept]);
  });
});
