import { describe, expect, it } from "vitest";
import {
  editAttempt,
  putBackAttempt,
  recordAttempt,
  removeAttempt,
  restoreAttempt,
  setAsideAttempt,
} from "../../../server/actions/attempts.ts";
import { evidenceFields } from "../../../server/bench/things/evidenceRow.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import type { Journal } from "../../../server/store/file/journal.ts";
import { smallWorld, testServer } from "../../support/bench.ts";

const draft = { clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 } as const;

async function benchWithAttempt() {
  const server = await testServer();
  const world = await smallWorld(server);
  const { journal, clock } = server;
  const at = () => ({ journal, now: clock.now() });
  const record = (buildId: string) => recordAttempt(buildId, { ...draft, workloadId: world.heavy }, at());
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

  it("reads only what follows a write again: the rows before it are the very same", async () => {
    const { journal, heavy, frame, at } = await benchWithAttempt();
    const recordAgo = (minutes: number, more = {}) => {
      const startedAt = new Date(Date.parse(at().now) - minutes * 60_000).toISOString();
      return journal.writeNow(() =>
        recordAttempt(frame, { ...draft, workloadId: heavy, startedAt, ...more }, at()),
      ).id;
    };
    const tried = () => journal.attempts.triedOf(frame);
    const [first, second, third] = [recordAgo(90), recordAgo(80), recordAgo(70)];
    const before = tried();
    expect(before.map((row) => row.id)).toEqual([first, second, third]);
    recordAgo(60);
    const all = tried();
    expect(all.map((row, i) => row === before[i])).toEqual([true, true, true, false]);
    recordAgo(1, { outcome: "running", durationS: null, plannedS: 600 });
    expect(tried()).toBe(all);
    journal.writeNow(() => editAttempt(second, { durationS: 600 }, null, at()));
    expect(tried().map((row, i) => row === all[i])).toEqual([true, false, false, false]);
    expect(tried()[1]?.durationS).toBe(600);
  });

  const heldAnew = (journal: Journal, buildId: string) =>
    journal.attempts
      .allOf(buildId)
      .filter(({ setAside, outcome }) => setAside === null && outcome !== "running")
      .map((attempt) => ({
        ...Object.fromEntries(evidenceFields.map((name) => [name, attempt[name]])),
        id: attempt.id,
        traced: journal.traces.outline(attempt.id) !== undefined,
      }));

  it("is what the record says after whatever was written, and undone, in whatever order of time", async () => {
    const { journal, heavy, cupboard, frame, at } = await benchWithAttempt();
    const random = seededRandom(7);
    const oneOf = <Of>(all: readonly Of[]): Of => all[Math.floor(all.length * random.uniform())]!;
    const recorded = { [cupboard]: [] as string[], [frame]: [] as string[] };
    const momentAgo = () => new Date(Date.parse(at().now) - Math.floor(20 * random.uniform()) * 60_000);
    const some = (build: string) => ({
      ...draft,
      workloadId: heavy,
      startedAt: momentAgo().toISOString(),
      clockMhz: 4000 + 25 * Math.floor(40 * random.uniform()),
      ...(random.uniform() < 0.2 ? { outcome: "restart" as const } : {}),
      note: build,
    });
    const acts: ((build: string) => void)[] = [
      (build) => recorded[build]?.push(recordAttempt(build, some(build), at()).id),
      (build) => editAttempt(oneOf(recorded[build]!), { durationS: 600 + random.uniform() }, null, at()),
      (build) => editAttempt(oneOf(recorded[build]!), { startedAt: some(build).startedAt }, null, at()),
      (build) => removeAttempt(oneOf(recorded[build]!), null, at()),
      (build) => restoreAttempt(oneOf(recorded[build]!), at()),
      (build) => setAsideAttempt(oneOf(recorded[build]!), "the wrong board", at()),
      (build) => putBackAttempt(oneOf(recorded[build]!), at()),
    ];
    let [done, undone, inWrite] = [0, 0, 0];
    for (let round = 0; round < 400; round += 1) {
      const build = oneOf([cupboard, cupboard, frame]);
      const act = random.uniform() < 0.3 ? acts[0]! : oneOf(acts);
      const isUndone = random.uniform() < 0.2;
      const before = recorded[build]!.length;
      try {
        journal.writeNow(() => {
          act(build);
          if (random.uniform() < 0.3) inWrite += journal.attempts.triedOf(build).length;
          if (isUndone) throw new Error("undone");
        });
        done += 1;
      } catch {
        undone += 1;
        recorded[build]!.length = before;
      }
      if (random.uniform() < 0.5) expect(journal.attempts.triedOf(build)).toEqual(heldAnew(journal, build));
    }
    for (const build of [cupboard, frame]) {
      expect(journal.attempts.triedOf(build)).toEqual(heldAnew(journal, build));
      expect(journal.attempts.taggedRunsOf(build).map(({ id }) => id)).toEqual(
        heldAnew(journal, build).map(({ id }) => id),
      );
    }
    expect([done > 150, undone > 80, inWrite > 500]).toEqual([true, true, true]);
  });
});
