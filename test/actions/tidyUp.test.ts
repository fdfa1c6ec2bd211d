import { describe, expect, it } from "vitest";
import { recordAttempt, removeAttempt } from "../../server/actions/attempts.ts";
import { tidyUp } from "../../server/actions/tidyUp.ts";
import { smallWorld, testServer } from "../support/bench.ts";

describe("tidyUp", () => {
  it("keeps what was deleted, so that the deletion can travel, and lets go of merges that can no more be undone", async () => {
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
    const ids = [-90_000, -60].map((seconds) => {
      const at = new Date(Date.parse(clock.now()) + seconds * 1000).toISOString();
      const id = journal.newId(at);
      journal.writeNow(() => journal.merges.keep({ id, at, added: 1, updated: 0 }, []));
      return id;
    });
    journal.writeNow(() => tidyUp({ journal, now: clock.now() }));
    expect(journal.attempts.removed(10).map(({ id }) => id)).toEqual([lately, long]);
    expect(journal.attempts.allOf(cupboard).map(({ id }) => id)).toEqual([kept]);
    expect(journal.merges.all().map(({ id }) => id)).toEqual([ids[1]]);
  });

  it("keeps what an attempt stands on that was brought back after its load, build and parts were deleted", async () => {
    const server = await testServer();
    const { cupboard, heavy, chip, small, frame } = await smallWorld(server);
    const { journal, clock, send } = server;
    const draft = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const { body: attempt } = await send("POST", `/api/builds/${cupboard}/attempts`, draft);
    for (const address of [
      `attempts/${attempt.id}`,
      `workloads/${heavy}`,
      `builds/${cupboard}`,
      `builds/${frame}`,
      `boards/${small}`,
      `chips/${chip}`,
    ])
      expect((await send("DELETE", `/api/${address}`)).status, address).toBe(204);
    expect((await send("PUT", `/api/attempts/${attempt.id}/restoration`)).status).toBe(200);
    expect([journal.chips.find(chip)?.id, journal.boards.find(small)?.id]).toEqual([chip, small]);
    expect((await send("GET", "/builds")).status).toBe(200);
    clock.pass(2 * 86_400);
    journal.writeNow(() => tidyUp({ journal, now: clock.now() }));
    expect(journal.workloads.find(heavy)?.name).toBe("Stacking");
    expect(journal.builds.find(frame)).toBeUndefined();
    expect(journal.faults()).toEqual([]);
    expect((await send("GET", "/builds")).status).toBe(200);
    const { body: document } = await send("GET", "/api/export");
    const elsewhere = await testServer();
    expect((await elsewhere.send("POST", "/api/import", document)).status).toBe(200);
    expect(elsewhere.journal.attempts.allOf(cupboard)).toHaveLength(1);
  });

  it("keeps what is deleted as long as something deleted later stands on it", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const { journal, clock, send } = server;
    const draft = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const { body: rule } = await send("POST", "/api/rules", {
      name: "Stacked for an hour",
      requires: [{ workloadId: heavy, durationS: 3600 }],
    });
    const { body: attempt } = await send("POST", `/api/builds/${cupboard}/attempts`, draft);
    for (const address of [`rules/${rule.id}`, `attempts/${attempt.id}`, `workloads/${heavy}`]) {
      expect((await send("DELETE", `/api/${address}`)).status, address).toBe(204);
      clock.pass(-60);
    }
    clock.pass(86_400 + 90);
    journal.writeNow(() => tidyUp({ journal, now: clock.now() }));
    expect(journal.workloads.findDeleted(heavy)).toBeDefined();
    expect((await send("PUT", `/api/rules/${rule.id}/restoration`)).status).toBe(200);
    expect(journal.workloads.find(heavy)?.name).toBe("Stacking");
  });

  it("brings back what an earlier version left deleted under attempts and builds, so that lists and exports work", async () => {
    const server = await testServer();
    const { cupboard, heavy, chip } = await smallWorld(server);
    const { journal, clock, send } = server;
    const draft = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    await send("POST", `/api/builds/${cupboard}/attempts`, draft);
    journal.chips.remove(chip, clock.now());
    journal.workloads.remove(heavy, clock.now());
    expect((await send("GET", "/builds")).status).toBe(200);
    clock.pass(2 * 86_400);
    journal.writeNow(() => tidyUp({ journal, now: clock.now() }));
    expect([journal.chips.find(chip)?.name, journal.workloads.find(heavy)?.name]).toEqual([
      "Tern 8",
      "Stacking",
    ]);
  });
});
