import { expect, it } from "vitest";
import * as attempts from "../../server/actions/attempts.ts";
import { blankAll } from "../../server/actions/blanking.ts";
import { endWithOutput } from "../../server/actions/traceFigures.ts";
import type { Attempt } from "../../server/bench/things/attempt.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { joinJournal } from "../../server/store/file/journal.ts";
import { oneOf } from "./chosen.ts";
import { type Held, heldJournal, heldNow, heldOptions, later, writingOn } from "./heldJournal.ts";
import { telling } from "./telling.ts";

type Store = Held["journal"]["attempts"];

const idsOf = (some: Iterable<Readonly<{ id: string }>>): readonly string[] => [...some].map(({ id }) => id);

function drawnDraft(random: SeededRandom, { loadId, lightId }: Held) {
  const failed = random.index(3) === 0;
  return {
    workloadId: oneOf(random, [loadId, loadId, lightId]),
    clockMhz: 4000 + 25 * random.index(4),
    voltageMv: oneOf(random, [1150, 1200, 1250]),
    outcome: failed ? oneOf(random, ["freeze", "restart"] as const) : ("pass" as const),
    durationS: 60 * (1 + random.index(20)),
    startedAt: later(-600 * random.index(40) - 7200),
    ...(random.index(3) === 0 && { tags: ["evening"] }),
    ...(random.index(3) === 0 && { note: "warm" }),
    ...(random.index(4) === 0 && { ambientC: 20 + random.index(5) }),
  };
}

/** What an attempt says; most of its fields say nothing. */
const saidOf = (attempt: object): string =>
  JSON.stringify(attempt, (_, value) => (value === null || value === "" ? undefined : value));

const drained = <Row>(turns: Generator<undefined, readonly Row[]>): readonly [number, readonly Row[]] => {
  for (let n = 0; ; n += 1) {
    const { done, value } = turns.next();
    if (done) return [n, value];
  }
};

/** Everything the store of attempts answers. */
function askAttempts(
  tell: ReturnType<typeof telling>["tell"],
  { journal, ...held }: Held,
  ids: readonly string[],
): void {
  const store: Store = journal.attempts;
  for (const build of [held.buildId, held.otherId]) {
    tell("  counts", () => [
      store.countOf(build),
      store.count(),
      store.triedOf(build).length,
      store.runsOf(build).length,
    ]);
    tell("  more", () => [
      store.evidenceOf(build).length,
      store.taggedRunsOf(build).length,
      drained(store.triedInTurn(build))[1].length,
    ]);
    const tried = store.triedOf(build);
    const newest = store.newestOf(build, 5);
    tell("  the same again", () => [
      ...[
        store.triedOf(build) === tried,
        store.newestOf(build, 5) === newest,
        store.evidenceOf(build) === tried,
      ],
    ]);
    tell("  tried", () => tried.slice(0, 2).map(saidOf));
    tell("  all", () =>
      [idsOf(store.allOf(build)), idsOf(store.eachOf(build))]
        .map((list) => list.join())
        .map((text) => text.length),
    );
    tell("  told", () => [...store.told(build)].sort());
    tell("  set ever", () =>
      JSON.stringify(store.setEver(build), (_, of) => (of instanceof Set ? [...of] : of)),
    );
    tell("  running", () => store.runningOf(build)?.id);
    const some = { limit: 7, after: null };
    for (const narrowed of [
      {},
      { clockMhz: 4025 },
      { voltageMv: 1200 },
      { workloadId: held.lightId },
      { outcome: "freeze" },
      { clockMhz: 4000, voltageMv: 1150, outcome: "pass" },
    ] as const) {
      const first = store.pageOf(build, { ...some, ...narrowed });
      tell(`  page of ${JSON.stringify(narrowed)}`, () => [
        idsOf(first.items).length,
        first.next !== null,
        first.items.at(-1)?.id,
      ]);
      const second =
        first.next === null ? null : store.pageOf(build, { ...some, ...narrowed, after: first.next });
      tell("    and on", () => second && [second.items.length, second.next !== null, second.items[0]?.id]);
    }
  }
  tell("  under each load", () => [
    store.countUnder(held.loadId),
    store.countUnder(held.lightId),
    store.countUnder("none"),
  ]);
  tell("  running anywhere", () => [idsOf(store.running()), store.runningIds(), store.newest()?.id]);
  tell("  removed", () => [store.removedIds(), store.removed(2).map(({ id, deletedAt }) => [id, deletedAt])]);
  tell("  removed before", () =>
    [0, 25, 40, 1e6].map((seconds) => store.removedBefore(later(seconds)).length),
  );
  tell("  some", () => [idsOf(store.some([ids[0]!, ids[3]!, "none"])).length, idsOf(store.all()).length]);
  for (const id of [ids[0]!, ids[3]!, ids[5]!, "none"]) {
    tell("  one", () => [
      store.find(id) === undefined,
      store.findDeleted(id)?.deletedAt,
      store.holds(id),
      store.isBlanked(id),
    ]);
    tell("  its place", () => [store.stateIdOf(id), store.placeOf(id)?.stateId, store.outputOf(id)]);
    tell("  its account", () => saidOf(store.accountOf(id) ?? {}));
    tell("  its edits", () => store.editsOf(id));
  }
  tell("  edits of each", () => [...store.editsOfEach(ids)].map(([id, edits]) => `${id} ${edits.length}`));
  tell("  edited since", () => store.editedSince(later(20), 4));
  tell("  edited at", () => [store.editedAt(later(25)), store.editedAt(later(1))]);
  tell("  outputs", () => [...store.outputs()]);
}

it("attempts that are recorded, edited, set aside, deleted, blanked and brought back are answered for as before", async () => {
  const { tell, told } = telling();
  const random = seededRandom(91);
  const held = heldJournal(91);
  const { journal } = held;
  const write = writingOn(held);
  const ids: string[] = [held.attemptId];
  const one = () => oneOf(random, ids);
  for (let n = 0; n < 24; n += 1)
    ids.push(
      write((at) =>
        attempts.recordAttempt(
          oneOf(random, [held.buildId, held.buildId, held.otherId]),
          drawnDraft(random, held),
          at,
        ),
      ).id,
    );
  askAttempts(tell, held, ids);
  const acts: Readonly<Record<string, (id: string, at: Held["at"]) => unknown>> = {
    edit: (id, at) => attempts.editAttempt(id, { note: oneOf(random, ["", "cold", "warm"]) }, null, at),
    "edit more": (id, at) => attempts.editAttempt(id, { clockMhz: 4025, tags: ["late"] }, null, at),
    "edit the first version": (id, at) => attempts.editAttempt(id, { ambientC: 21 }, 1, at),
    "set aside": (id, at) => attempts.setAsideAttempt(id, "the fan was held", at),
    "put back": (id, at) => attempts.putBackAttempt(id, at),
    remove: (id, at) => attempts.removeAttempt(id, null, at),
    restore: (id, at) => attempts.restoreAttempt(id, at),
    raise: (id) => journal.attempts.raise(id),
    "note a picture": (id, at) => journal.attempts.noteHanging(id, "picture", at.now),
    "keep an output": (id, at) => endWithOutput(id, { note: "ended", output: "wrong at 7" }, null, at),
    "no output": (id, at) => endWithOutput(id, { output: null }, null, at),
    arm: (_, at) =>
      attempts.recordAttempt(
        held.buildId,
        { workloadId: held.loadId, clockMhz: 4100, voltageMv: 1200, outcome: "running" },
        at,
      ),
    beat: (_, at) =>
      attempts.keepHeartbeat(
        journal.attempts.runningOf(held.buildId)?.id ?? "none",
        { elapsedS: random.index(300), from: "machine", seq: random.index(9), tempC: 71.5 },
        at,
      ),
    end: (_, at) =>
      attempts.editAttempt(
        journal.attempts.runningOf(held.buildId)?.id ?? "none",
        { outcome: "freeze", durationS: 77 },
        null,
        at,
      ),
    "undone together": (id, at) => {
      attempts.editAttempt(id, { note: "never" }, null, at);
      journal.attempts.triedOf(held.buildId);
      throw new RangeError("undone");
    },
  };
  const [names, most] = [Object.keys(acts), 75];
  for (let n = 0; n < most; n += 1) {
    const name = n < names.length ? names[n]! : oneOf(random, names);
    const id = one();
    tell(`${name} of ${id}`, () => {
      const answer = write((at) => acts[name]!(id, at)) as Attempt | undefined;
      return [
        answer?.version,
        answer?.outcome,
        answer?.note,
        journal.attempts.countOf(held.buildId),
        journal.attempts.triedOf(held.buildId).length,
      ];
    });
    if (n === 30 || n === 52) askAttempts(tell, held, ids);
  }
  tell("heartbeats", () =>
    ids
      .concat(journal.attempts.newest()!.id)
      .flatMap((id) => journal.attempts.lastHeartbeat(id, "machine") ?? []),
  );
  tell("blanked", () => write((at) => blankAll({ ...at, now: later(40 * 86_400) })));
  askAttempts(tell, held, ids);
  tell("forgotten whole", () =>
    write(() =>
      ids
        .slice(0, 6)
        .map((id) => journal.attempts.forgetWhole(id))
        .concat(journal.attempts.forgetWhole("none")),
    ),
  );
  tell("counts", () => [journal.attempts.count(), journal.attempts.countOf(held.buildId), journal.faults()]);
  await expect(told()).toMatchFileSnapshot("answers/storedAttempts.txt");
});

it("attempts are read a slice and a page at a time, at every count around those", async () => {
  const held = heldJournal(92);
  const { journal, buildId, attemptId } = held;
  const { id: _, ...draft } = journal.attempts.find(attemptId)!;
  const write = writingOn(held);
  const stateId = journal.attempts.stateIdOf(attemptId)!;
  let kept = 1;
  for (const count of [249, 250, 251, 299, 300, 301, 600]) {
    write(({ now }) => {
      for (; kept < count; kept += 1) {
        const fresh = { id: journal.newId(now), createdAt: now, updatedAt: now, version: 1 };
        journal.attempts.put(fresh, { ...draft, startedAt: later(-3600 - (kept >> 2)) }, stateId);
      }
    });
    write(() => journal.traces.drop(attemptId)); // after which nothing is remembered
    const [turns, rows] = drained(journal.attempts.triedInTurn(buildId));
    expect([turns, rows.length]).toEqual([Math.ceil(count / 250), count]);
    const inOrder = idsOf(journal.attempts.allOf(buildId));
    expect(idsOf(journal.attempts.eachOf(buildId))).toEqual(inOrder);
    expect(idsOf(rows)).toEqual(inOrder);
  }
  const other = joinJournal(journal.file, heldOptions(98));
  for (const writer of [journal, other]) {
    const putEarlier = async () => {
      writer.writeNow(() => {
        const fresh = { id: writer.newId(heldNow), createdAt: heldNow, updatedAt: heldNow, version: 1 };
        kept += 1;
        writer.attempts.put(fresh, { ...draft, startedAt: later(-90_000 - kept) }, stateId);
      });
      await Promise.resolve(); // what another connection commits is seen from the next turn on
    };
    await putEarlier();
    const turns = journal.attempts.triedInTurn(buildId);
    turns.next();
    await putEarlier();
    expect(drained(turns)[1].length).toBe(kept);
    expect(journal.attempts.countOf(buildId)).toBe(kept);
  }
  other.close();
});
