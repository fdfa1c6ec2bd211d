import { describe, expect, it } from "vitest";
import {
  recordAttempt,
  removeAttempt,
  restoreAttempt,
  setAsideAttempt,
} from "../../../server/actions/attempts.ts";
import { smallWorld, testServer } from "../../support/bench.ts";

async function benchWithAttempt() {
  const server = await testServer();
  const world = await smallWorld(server);
  const { journal, clock } = server;
  const at = () => ({ journal, now: clock.now() });
  const draft = {
    workloadId: world.heavy,
    clockMhz: 4600,
    voltageMv: 1200,
    outcome: "pass",
    durationS: 900,
  } as const;
  const record = (buildId: string) => recordAttempt(buildId, draft, at());
  const id = journal.writeNow(() => record(world.cupboard)).id;
  return { ...server, ...world, at, record, id };
}

describe("the evidence of a build", () => {
  it("is read once until an attempt of it changes, and anew inside a write that changed one", async () => {
    const { journal, cupboard, record } = await benchWithAttempt();
    const first = journal.attempts.evidenceOf(cupboard);
    expect(journal.attempts.evidenceOf(cupboard)).toBe(first);
    const within = journal.writeNow(() => {
      record(cupboard);
      return journal.attempts.evidenceOf(cupboard).length;
    });
    expect([within, journal.attempts.evidenceOf(cupboard).length, first.length]).toEqual([2, 2, 1]);
  });

  it("stays as it is while another build is tried", async () => {
    const { journal, cupboard, frame, record } = await benchWithAttempt();
    const first = journal.attempts.evidenceOf(cupboard);
    journal.writeNow(() => record(frame));
    expect(journal.attempts.evidenceOf(cupboard)).toBe(first);
  });

  it("shows an attempt set aside, deleted, brought back and mounted anew", async () => {
    const { journal, cupboard, at, id, send, clock } = await benchWithAttempt();
    const evidence = () => journal.attempts.evidenceOf(cupboard).map((row) => row.id);
    const mount = () => journal.attempts.evidenceOf(cupboard)[0]?.mountId;
    const newest = () => journal.attempts.newestOf(cupboard, 5).items.map((attempt) => attempt.id);
    journal.writeNow(() => removeAttempt(id, null, at()));
    expect([evidence(), newest(), journal.attempts.countOf(cupboard)]).toEqual([[], [], 0]);
    journal.writeNow(() => restoreAttempt(id, at()));
    expect([evidence(), newest(), journal.attempts.countOf(cupboard)]).toEqual([[id], [id], 1]);
    const before = mount();
    const mountedAt = new Date(Date.parse(clock.now()) - 3_600_000).toISOString();
    const { status } = await send("POST", `/api/builds/${cupboard}/mounts`, { mountedAt });
    expect([status, mount() === before]).toEqual([201, false]);
    journal.writeNow(() => setAsideAttempt(id, "the wrong board", at()));
    expect(evidence()).toEqual([]);
  });

  it("shows that a trace came and went", async () => {
    const { journal, cupboard, id, send } = await benchWithAttempt();
    const traced = () => journal.attempts.evidenceOf(cupboard)[0]?.traced;
    expect(traced()).toBe(false);
    const rows = [
      { elapsedS: 0, temperatureC: 50 },
      { elapsedS: 1, temperatureC: 51 },
    ]
      .map((row) => JSON.stringify(row))
      .join("\n");
    const { status } = await send("POST", `/api/attempts/${id}/samples`, rows, {
      "content-type": "application/x-ndjson",
    });
    expect([status, traced()]).toEqual([200, true]);
    journal.writeNow(() => journal.traces.drop(id));
    expect(traced()).toBe(false);
  });
});
