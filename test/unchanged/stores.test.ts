import { expect, it } from "vitest";
import * as attempts from "../../server/actions/attempts.ts";
import { blankAll } from "../../server/actions/blanking.ts";
import * as builds from "../../server/actions/builds.ts";
import { chooseSensors } from "../../server/actions/captureSensors.ts";
import { addNoise, editNoise, removeNoise, restoreNoise } from "../../server/actions/noise.ts";
import { chipActions, workloadActions } from "../../server/actions/parts.ts";
import {
  addPicture,
  captionPicture,
  placeOfPicture,
  removePicture,
  restorePicture,
} from "../../server/actions/pictures.ts";
import { keepSamples } from "../../server/actions/samples.ts";
import { countAsSaid, endWithOutput, fillFromTrace } from "../../server/actions/traceFigures.ts";
import { addVersion, editVersion, removeVersion, restoreVersion } from "../../server/actions/versions.ts";
import { mostPicturesOfBuild } from "../../server/bench/pictures/picture.ts";
import type { Attempt } from "../../server/bench/things/attempt.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { joinJournal } from "../../server/store/file/journal.ts";
import { stagedDocument } from "../../server/store/file/stagedDocument.ts";
import { drawnFrom, msOfId, uuidV7 } from "../../server/store/rows/ids.ts";
import { madePng } from "../support/madePictures.ts";
import { oneOf } from "./chosen.ts";
import { heldJournal, heldNow, heldOptions } from "./heldJournal.ts";
import { printOf, telling } from "./telling.ts";

type Held = ReturnType<typeof heldJournal>;
type Store = Held["journal"]["attempts"];

const later = (seconds: number): string => new Date(Date.parse(heldNow) + 1000 * seconds).toISOString();

/** The journal's writes, each a second after the one before. */
function writingOn({ journal }: Held) {
  let seconds = 0;
  return <Result>(work: (at: Held["at"]) => Result): Result => {
    seconds += 1;
    return journal.writeNow(() => work({ journal, now: later(seconds) }));
  };
}

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

it("attempts are read a slice and a page at a time, at every count around those", () => {
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
    const putEarlier = () =>
      writer.writeNow(() => {
        const fresh = { id: writer.newId(heldNow), createdAt: heldNow, updatedAt: heldNow, version: 1 };
        kept += 1;
        writer.attempts.put(fresh, { ...draft, startedAt: later(-90_000 - kept) }, stateId);
      });
    putEarlier();
    const turns = journal.attempts.triedInTurn(buildId);
    turns.next();
    putEarlier();
    expect(drained(turns)[1].length).toBe(kept);
    expect(journal.attempts.countOf(buildId)).toBe(kept);
  }
  other.close();
});

it("parts, builds, mounts, versions, noise, pictures and sensors are kept and listed as before", async () => {
  const { tell, told } = telling();
  const random = seededRandom(93);
  const held = heldJournal(93);
  const { journal, buildId, otherId, attemptId, chipId, loadId } = held;
  const write = writingOn(held);
  const tried = (asked: string, work: (at: Held["at"]) => unknown): void => tell(asked, () => write(work));
  const image = { bytes: madePng({ noted: true, orientation: 6 }), caption: "the mount" };
  const mounts = [
    "2031-05-01T00:00:00.000Z",
    "2031-05-04T13:00:00.000Z",
    "2031-05-04T13:42:00.000Z",
    "2031-05-04T13:42:00.001Z",
  ].map(
    (mountedAt) =>
      write((at) => builds.addMount(buildId, { mountedAt, paste: "new" }, { ...at, now: later(9000) })).id,
  );
  const readings = [41, 38, 44].map(
    (dba, n) =>
      write((at) =>
        addNoise(
          oneOf(random, [buildId, otherId]),
          {
            levelsDba: [dba, dba + 1],
            distanceM: 0.5,
            clockMhz: 4100.5,
            voltageMv: null,
            workloadId: n ? loadId : null,
          },
          at,
        ),
      ).id,
  );
  const versions = (["firmware", "driver", "firmware"] as const).map(
    (of, n) =>
      write((at) => addVersion(buildId, { of, name: `${n}.2`, since: n ? later(-90 * n) : null }, at)).id,
  );
  const pictures = (
    [
      ["builds", buildId],
      ["mounts", mounts[0]!],
      ["attempts", attemptId],
      ["builds", otherId],
    ] as const
  ).map(([thing, id]) => write((at) => addPicture({ thing, id }, image, at)).id);
  const mountOf = () => [
    journal.attempts.placeOf(attemptId)?.mountId,
    ...mounts.map((id) => journal.attempts.countOnMount(buildId, id)),
  ];
  const lists = [
    "chips",
    "boards",
    "workloads",
    "builds",
    "mounts",
    "versions",
    "noise",
    "pictures",
  ] as const;
  const ask = (): void => {
    for (const list of lists) {
      const store = journal[list];
      tell(`  ${list}`, () => [
        store.count(),
        store.removedIds(),
        [...store.told()].sort(),
        store.removed().map(({ deletedAt }) => deletedAt),
      ]);
      tell("    removed before", () => [
        ...[store.removedBefore(later(20)).length, store.removedBefore(later(1e6)).length],
        store.namedThoughRemoved(),
      ]);
    }
    tell("  edited since", () => journal.chips.editedSince(later(24), 3));
    for (const list of ["mounts", "versions", "noise"] as const)
      for (const after of [null, journal[list].pageOf(buildId, { limit: 1, after: null }).next])
        tell(`  page of ${list}`, () => {
          const { items, next } = journal[list].pageOf(buildId, { limit: 2, after });
          return [items.map(({ version, id }) => `${version} ${id}`).join(), next === null];
        });
    for (const list of ["chips", "workloads", "builds"] as const)
      for (const after of [null, journal[list].page({ limit: 1, after: null }).next])
        tell(`  page of ${list}`, () => {
          const { items, next } = journal[list].page({ limit: 1, after });
          return [items.map(({ name }) => name).join(), next === null];
        });
    tell("  mounted", () => [
      mountOf(),
      journal.mounts.countOf(buildId),
      journal.mounts.removedOf(buildId),
      mounts.map((id) => journal.mounts.isStillUsed(id)),
    ]);
    tell("  would hold", () => mounts.map((id) => journal.mounts.wouldHold(id, attemptId)));
    tell("  pictures of each", () =>
      (["builds", "mounts", "attempts"] as const).map((thing) =>
        [buildId, mounts[0]!, attemptId].map(
          (id) => `${journal.pictures.of(thing, id).length} ${journal.pictures.idsOf(thing, id).length}`,
        ),
      ),
    );
    tell("  builds using", () =>
      [{ chipId }, { boardId: held.boardId }, { basedOn: buildId }].map((thing) =>
        journal.builds.countUsing(thing),
      ),
    );
    tell("  noise under", () => [
      journal.noise.countUnder(loadId),
      journal.noise.countOf(buildId),
      journal.builds.holdsAny(buildId),
      journal.builds.ofChip(chipId).length,
    ]);
    tell("  states", () => [
      journal.builds.statesOf(buildId).size,
      journal.versions.allOf(buildId).map(({ name }) => name),
    ]);
  };
  ask();
  for (const at of [-1e6, -60, 0, 1]) tell(`mount ${at} s on`, () => journal.mounts.at(buildId, later(at)));
  tell("mount of no build", () => journal.mounts.at("none", heldNow));
  tried(
    "a mount moved",
    (at) => builds.editMount(mounts[1]!, { mountedAt: later(60) }, null, { ...at, now: later(9000) }).version,
  );
  tried("a mount removed", (at) => builds.removeMount(mounts[2]!, null, at));
  tried("another", (at) => builds.removeMount(mounts[0]!, null, at));
  tried("a picture captioned", (at) => captionPicture(pictures[0]!, "the other side", 1, at));
  tried("the same again", (at) => captionPicture(pictures[0]!, "the other side", 2, at));
  tried("of an earlier version", (at) => captionPicture(pictures[0]!, "no", 1, at));
  tried("a picture removed", (at) => removePicture(pictures[1]!, null, at));
  tried("of an earlier version", (at) => removePicture(pictures[0]!, 1, at));
  tried("a reading edited", (at) => editNoise(readings[0]!, { note: "near" }, null, at).version);
  tried("the same again", (at) => editNoise(readings[0]!, { note: "near" }, null, at).version);
  tried("a reading removed", (at) => removeNoise(readings[1]!, null, at));
  tried("a version edited", (at) => editVersion(versions[0]!, { name: "0.3" }, null, at).name);
  tried("a version removed", (at) => removeVersion(versions[2]!, null, at));
  tried(
    "a build edited",
    (at) => builds.editBuild(buildId, { cooler: "tall", note: "now" }, null, at).version,
  );
  tried("based on it", (at) => builds.editBuild(otherId, { basedOn: buildId }, null, at).basedOn);
  tried("a chip removed", (at) => chipActions.remove(chipId, null, at));
  tried("a load removed", (at) => workloadActions.remove(held.lightId, null, at));
  tried("a chip edited", (at) => chipActions.edit(chipId, { note: "odd" }, null, at).version);
  ask();
  tried("a picture restored", (at) => restorePicture(pictures[1]!, at).caption);
  tried("a mount restored", (at) => builds.restoreMount(mounts[2]!, at).version);
  tried("a reading restored", (at) => restoreNoise(readings[1]!, at).version);
  tried("a version restored", (at) => restoreVersion(versions[2]!, at).version);
  tried("a build removed", (at) => builds.removeBuild(otherId, null, at));
  tried("let go of", () => [
    journal.workloads.forgetWhole(held.lightId),
    journal.workloads.forgetWhole(loadId),
    journal.chips.forgetWhole("none"),
  ]);
  ask();
  for (const thing of ["builds", "mounts", "attempts"] as const)
    for (const id of [buildId, mounts[1]!, attemptId])
      tell(`place of a picture of ${thing}`, () => placeOfPicture({ thing, id }, held));
  tell("images", () => pictures.map((id) => journal.pictures.imageOf(id)?.length));
  tried("images dropped", () => journal.pictures.dropImage(pictures[0]!));
  tell("images", () => pictures.map((id) => journal.pictures.imageOf(id)?.length));
  const standing = journal.pictures.of("builds", buildId).length;
  tried("as many as may be", (at) => {
    for (let n = standing; n < mostPicturesOfBuild; n += 1)
      journal.pictures.put(
        { id: journal.newId(at.now), createdAt: at.now, updatedAt: at.now, version: 1 },
        { ...journal.pictures.find(pictures[0]!)! },
      );
    return [journal.pictures.of("builds", buildId).length, journal.pictures.all().length];
  });
  tried("one more", (at) => addPicture({ thing: "builds", id: buildId }, image, at));
  const sensors = [
    { sensor: "a", channel: "temperature" },
    { sensor: "b", channel: "power" },
  ];
  for (const recorded of [true, false]) {
    tried("sensors", (at) => chooseSensors(sensors, recorded, at));
    tell("  chosen", () => [journal.captureSensors.chosen(), journal.captureSensors.recorded()]);
  }
  tried("one channel twice", (at) =>
    chooseSensors([sensors[0]!, { sensor: "c", channel: "temperature" }], true, at),
  );
  tell("faults", () => journal.faults());
  await expect(told()).toMatchFileSnapshot("answers/storedParts.txt");
});

it("samples of an attempt, and what its trace says of it, are kept and counted as before", async () => {
  const { tell, told } = telling();
  const held = heldJournal(94);
  const { journal, otherId, loadId, attemptId } = held;
  const write = writingOn(held);
  const running = write((at) =>
    attempts.recordAttempt(
      otherId,
      { workloadId: loadId, clockMhz: 4100, voltageMv: 1200, outcome: "running" },
      at,
    ),
  ).id;
  const sent = (t: readonly number[], values: Readonly<Record<string, readonly number[]>>) => ({
    ...{ t, skipped: [], channels: Object.keys(values).map((channel) => ({ channel, unit: "" })) },
    values: Object.values(values),
  });
  const heard = () => journal.attempts.lastHeartbeat(running, "machine");
  for (const [name, [t, values]] of Object.entries<
    readonly [readonly number[], Readonly<Record<string, readonly number[]>>]
  >({
    none: [[], {}],
    "a first": [[0, 1], { temperature: [40, 41], power: [90, Number.NaN] }],
    "the same again": [[0, 1], { temperature: [40, 41] }],
    "the coldest": [[2], { temperature: [-100], power: [0] }],
    "colder yet, and none": [[3], { temperature: [-99.9], power: [-0.1] }],
    hottest: [[4], { temperature: [200], power: [5000] }],
    "just under": [[5], { temperature: [199.9], power: [5000.1] }],
    "out of order": [[9, 7, 8], { temperature: [50, 51, Number.NaN], fan: [900, 901, 902] }],
    earlier: [[6], { temperature: [49] }],
  })) {
    tell(name, () => write((at) => keepSamples(running, sent(t, values), at)));
    tell("  heard", () => JSON.stringify(heard()));
  }
  const many = (count: number) =>
    sent([20], Object.fromEntries(Array.from({ length: count }, (_, at) => [`c${at}`, [at]])));
  for (const count of [60, 61, 62, 197, 198, 500])
    tell(`${count} channels more`, () => write((at) => keepSamples(running, many(count), at)));
  tell("of no attempt", () => write((at) => keepSamples("none", sent([1], {}), at)));
  tell("of an ended one", () => write((at) => keepSamples(attemptId, sent([1], { temperature: [40] }), at)));
  tell("  heard", () => JSON.stringify(journal.attempts.lastHeartbeat(attemptId, "machine")));
  const seconds = Array.from({ length: 900 }, (_, at) => 30 + at);
  const loaded = sent(seconds, {
    temperature: seconds.map((t) => (t < 60 ? 35 : Math.round(10 * (80 - 3000 / t)) / 10)),
    power: seconds.map((t) => (t < 60 ? 12 : 120 + (t % 3))),
    ambient: seconds.map(() => 22.5),
    clock: seconds.map((t) => (t < 60 ? 800 : 4095 + (t % 2))),
  });
  tell("a run", () => write((at) => keepSamples(running, loaded, at)));
  tell("filled while it runs", () => write((at) => fillFromTrace(running, at)).loadTempC);
  tell("counted while it runs", () => write((at) => countAsSaid(running, { use: "log" }, null, at)));
  const figuresOf = ({
    loadTempC,
    peakTempC,
    ambientC,
    powerW,
    effectiveClockMhz,
    version,
    outcome,
  }: Attempt) => ({
    ...{ loadTempC, peakTempC, ambientC, powerW, effectiveClockMhz, version, outcome },
  });
  tell("ended", () =>
    figuresOf(
      write((at) =>
        endWithOutput(running, { outcome: "pass", durationS: 900, powerW: 99, output: "" }, null, at),
      ),
    ),
  );
  tell("  output", () => journal.attempts.outputOf(running));
  tell("filled again", () => figuresOf(write((at) => fillFromTrace(running, at))));
  tell("filled from nothing", () => figuresOf(write((at) => fillFromTrace(running, at, null))));
  const measured = {
    loadTempC: 70,
    peakTempC: 72,
    ambientC: 21,
    powerW: 130,
    loadVoltageMv: null,
    effectiveClockMhz: 4080,
    throttled: false,
  };
  const figures = {
    measured,
    clocks: [{ channel: "clock", mhz: 4077, share: 1 }],
    throttledS: 0,
  } as unknown as Parameters<typeof countAsSaid>[2];
  for (const said of [
    { use: "log" },
    { use: "typed" },
    { clock: "clock" },
    { clock: "none" },
    { use: "log" },
  ] as const)
    tell(`counted by ${JSON.stringify(said)}`, () =>
      figuresOf(write((at) => countAsSaid(running, said as Parameters<typeof countAsSaid>[1], figures, at))),
    );
  tell("counted without a trace", () => write((at) => countAsSaid(running, { use: "log" }, null, at)));
  tell("filled from a known", () => figuresOf(write((at) => fillFromTrace(attemptId, at, figures))));
  tell("faults", () => journal.faults());
  await expect(told()).toMatchFileSnapshot("answers/storedSamples.txt");
});

it("what is kept beside the record, and how lists are gone on with, is answered for as before", async () => {
  const { tell, told } = telling();
  const held = heldJournal(97);
  const { journal, buildId, otherId, attemptId } = held;
  const write = writingOn(held);
  const { answeredPosts, importMappings, traces, keptAnswers, merges, writeUpWords } = journal;
  const tried = (asked: string, work: (at: Held["at"]) => unknown): void => tell(asked, () => write(work));
  for (const [n, key] of ["a", "b", "c"].entries())
    tried(`an answer under ${key}`, ({ now }) =>
      answeredPosts.keep(
        { key, address: "/x", bodyHash: "h", status: 201, answer: n === 1 ? attemptId : "{}" },
        now,
      ),
    );
  tried("the same key", ({ now }) =>
    answeredPosts.keep({ key: "a", address: "", bodyHash: "", status: 1, answer: "" }, now),
  );
  const answers = () =>
    ["a", "b", "c", "d"].map((key) => answeredPosts.find(key)?.status ?? "none").join(" ");
  tell("  kept", answers);
  tried("those that name an attempt are forgotten", () => answeredPosts.forgetNaming(attemptId));
  tell("  kept", answers);
  tried("those before the second", () => answeredPosts.forgetBefore(later(2)));
  tell("  kept", answers);
  for (const mapping of [{ a: 1 }, { a: 2 }]) {
    tried("a mapping", ({ now }) => importMappings.keep("head", mapping, now));
    tell("  kept", () => [importMappings.find("head"), importMappings.find("heads")]);
  }
  const time = { column: "P", channel: "time", unit: "s", everyS: null };
  const heat = { column: "T", channel: "temperature", unit: "°C", everyS: null };
  for (const unit of ["°C", "°F"]) {
    tried("matches", ({ now }) => traces.keepMatches([" T ", "P"], [time, { ...heat, unit }], now));
    tell("  kept", () => [traces.matchesFor(["T", "P"]), traces.matchesFor(["P", "T"])]);
  }
  tried(
    "matches that are none",
    () => void journal.db.$client.exec("UPDATE column_matches SET matches = '7'"),
  );
  tell("  kept", () => traces.matchesFor(["T", "P"]));
  const aim = { use: "daily", goal: "efficiency" } as const;
  for (const answer of [{ mhz: 1 }, { mhz: 2 }]) {
    tried("an answer of a build", () => keptAnswers.keep(buildId, aim, answer));
    tell("  kept", () => [
      keptAnswers.find(buildId, aim),
      keptAnswers.find(otherId, aim),
      keptAnswers.find(buildId, { ...aim, use: "benchmark" }),
    ]);
  }
  tried("in another form", () => void journal.db.$client.exec("UPDATE kept_answers SET form = form - 1"));
  tried("  let go of", () => keptAnswers.keep(otherId, aim, {}));
  tell("  kept", () => [keptAnswers.find(buildId, aim), keptAnswers.find(otherId, aim)]);
  const step = (list: string, thingId: string, of: string) => ({
    list,
    thingId,
    before: JSON.stringify({ fields: { buildId: of } }),
    left: "print",
  });
  for (const [n, id] of ["m1", "m2", "m3"].entries())
    tried(`a merge ${id}`, ({ now }) =>
      merges.keep({ id, at: now, added: n, updated: 7 }, [
        step("attempts", "t1", buildId),
        step("builds", "t2", otherId),
        step("attempts", `t${n + 3}`, otherId),
      ]),
    );
  const merged = () => [
    merges
      .all()
      .map(({ id, added }) => `${id} ${added}`)
      .join(),
    ...["m1", "m2", "m3", "m4"].map((id) =>
      [
        merges.find(id)?.updated,
        merges
          .stepsBack(id)
          .map(({ thingId }) => thingId)
          .join(" "),
        merges.firstOf(id)?.thingId,
      ].join(" "),
    ),
  ];
  tell("  kept", merged);
  tried("  attempts of a build forgotten", () => merges.forgetAttemptsOf(buildId));
  tried("  a thing forgotten", () => merges.forgetThing("t4"));
  tell("  kept", merged);
  const second = Date.parse(merges.find("m2")!.at);
  tried("  those before the second forgotten", () => merges.forgetBefore(new Date(second).toISOString()));
  tried("  the third forgotten", () => merges.forget("m3"));
  tell("  kept", merged);
  const own = (words: string, now: string, slot = "s") => ({
    builds: buildId,
    slot,
    words,
    replaced: "ours",
    updatedAt: now,
  });
  for (let n = 0; n < 24; n += 1)
    write(({ now }) => writeUpWords.keep(own(`words ${n >> (n > 20 ? 3 : 0)}`, now)));
  const words = () => [
    writeUpWords.of(buildId),
    writeUpWords
      .earlierOf(buildId, "s")
      .map(({ words }) => words.slice(6))
      .join(" "),
    writeUpWords.all().map(({ words, dropped, stamp }) => `${words} ${dropped} ${stamp}`),
    [...writeUpWords.allEarlier()].length,
  ];
  tell("own words", words);
  tried("  given up", ({ now }) => writeUpWords.drop(buildId, "s", now));
  tried("  twice", ({ now }) => writeUpWords.drop(buildId, "s", now));
  tried("  of none", ({ now }) => writeUpWords.drop(otherId, "s", now));
  tell("own words", words);
  tried("  written again", ({ now }) => writeUpWords.keep(own("new", now)));
  tell("  with earlier", () =>
    ["", "late"].map((more) => writeUpWords.withEarlier(buildId, "s", { stamp: "zz", words: more }).length),
  );
  tried("  others kept", () =>
    writeUpWords.keepEarlier(buildId, "s", [
      { stamp: "00op8f2v4g0000b", words: "two" },
      { stamp: "00op8f2v4g0000a", words: "one" },
    ]),
  );
  tell("own words", words);
  tried(
    "  forgotten",
    () => [writeUpWords.forgetEarlier(buildId, "s"), writeUpWords.forgetWhole(buildId, "s")].length,
  );
  tell("own words", words);
  const gave = (stamp: string, output: string) => ({ attemptId, what: "output" as const, stamp, output });
  tried("outputs that gave way", () =>
    journal.attempts.keepGaveWay(attemptId, [gave("00op8f2v4g0000b", "two"), gave("00op8f2v4g0000a", "one")]),
  );
  tell("  kept", () => [
    journal.attempts.gaveWayOf(attemptId),
    [...journal.attempts.allGaveWay()].length,
    journal.attempts.gaveWayOf("none"),
  ]);
  tried("  these instead", () => journal.attempts.keepGaveWay(attemptId, [gave("00op8f2v4g0000c", "three")]));
  tell("  kept", () => [...journal.attempts.allGaveWay()]);
  tried("  dropped", () => journal.attempts.dropGaveWay(attemptId));
  tell("  kept", () => [...journal.attempts.allGaveWay()]);
  const cursorFrom = (value: unknown) => Buffer.from(JSON.stringify(value)).toString("base64url");
  for (const [name, value] of Object.entries({
    number: [7, "a"],
    words: ["a", "a"],
    one: [7],
    three: [7, "a", 1],
    "no id": [7, 7],
    object: { order: 7 },
    none: null,
  })) {
    tell(
      `from a position of ${name}`,
      () => journal.attempts.pageOf(buildId, { limit: 5, after: cursorFrom(value) }).items.length,
    );
    tell("  by name", () => journal.builds.page({ limit: 5, after: cursorFrom(value) }).items.length);
  }
  tell("from what is none", () => journal.attempts.pageOf(buildId, { limit: 5, after: "!" }));
  const id = uuidV7(
    Date.parse(heldNow),
    Uint8Array.from({ length: 10 }, (_, at) => 250 + at),
  );
  tell("an id", () => [
    id.length,
    msOfId(id) === Date.parse(heldNow),
    msOfId("none"),
    msOfId(uuidV7(2 ** 47 + 5, new Uint8Array(10))) - 2 ** 47,
    id.replace(/-7/, " 7"),
  ]);
  const sizes: number[] = [];
  const draw = drawnFrom((count) => {
    sizes.push(count);
    return Uint8Array.from({ length: count }, (_, at) => at % 256);
  });
  tell("chance", () => [...[10, 10, 980, 10, 1000, 1001, 1].map((count) => draw(count)[0]), sizes.join()]);
  tell("beats", () =>
    [
      { elapsedS: 5, seq: 2 },
      { elapsedS: 5, seq: 3 },
      { elapsedS: 6, seq: 2 },
      { elapsedS: 6, seq: 3 },
      { elapsedS: 7, seq: null },
      { elapsedS: 8, seq: 1 },
    ]
      .map(({ elapsedS, seq }) => {
        write(({ now }) =>
          journal.attempts.beat(attemptId, {
            ...{ elapsedS, seq, at: now, from: "watcher", tempC: null, powerW: 7 },
            ...{ loadVoltageMv: 1100.5, clockMhz: 4000.25, correctedErrors: { bus: 1 }, bootId: "b" },
          }),
        );
        const { elapsedS: last, seq: count } = journal.attempts.lastHeartbeat(attemptId, "watcher")!;
        return `${last} ${count}`;
      })
      .join(", "),
  );
  tell("the last", () => JSON.stringify(journal.attempts.lastHeartbeat(attemptId, "watcher")));
  const staged = stagedDocument();
  staged.keep("chips", { id: "c", name: "Tern", knobs: { b: 1, a: 2 } });
  const first = staged.print();
  staged.keep("chips", { id: "d", knobs: { a: 2, b: 1 } });
  staged.keep("traceChunks", { attemptId: "x", chunk: 1 });
  staged.keep("builds", { id: "e" }, "deleted");
  tell("staged", () => [
    [...staged.things("chips")],
    [...staged.ids("chips")],
    [...staged.chunksOf("x")],
    [...staged.chunksOf("y")],
    staged.print() === first,
    [...staged.ids("builds")],
  ]);
  tell("  print", () => printOf(Buffer.from(staged.print())));
  staged.close();
  tell("faults", () => journal.faults());
  await expect(told()).toMatchFileSnapshot("answers/storedBeside.txt");
});
