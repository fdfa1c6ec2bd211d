import { copyFileSync } from "node:fs";
import path from "node:path";
import {
  editAttempt,
  keepHeartbeat,
  putBackAttempt,
  recordAttempt,
  removeAttempt,
  restoreAttempt,
  setAsideAttempt,
  takeUpAgain,
} from "../../server/actions/attempts.ts";
import { blank } from "../../server/actions/blanking.ts";
import { bringGaveWayBack } from "../../server/actions/bringBack.ts";
import {
  addBuild,
  addMount,
  editBuild,
  editMount,
  removeBuild,
  removeMount,
  restoreBuild,
  restoreMount,
} from "../../server/actions/builds.ts";
import type { At } from "../../server/actions/context.ts";
import { correctMany, undoMany } from "../../server/actions/correctMany.ts";
import { mergeJournal } from "../../server/actions/mergeJournal.ts";
import type { MergeResult } from "../../server/actions/mergeTally.ts";
import { addNoise, editNoise, removeNoise, restoreNoise } from "../../server/actions/noise.ts";
import { keepOwnWords } from "../../server/actions/ownWords.ts";
import { boardActions, chipActions, ruleActions, workloadActions } from "../../server/actions/parts.ts";
import { addPicture, captionPicture, removePicture, restorePicture } from "../../server/actions/pictures.ts";
import { keepSamples } from "../../server/actions/samples.ts";
import { endWithOutput } from "../../server/actions/traceFigures.ts";
import { undoEdit, undoEditsAt } from "../../server/actions/undoEdit.ts";
import { undoMerge } from "../../server/actions/undoMerge.ts";
import { addVersion, editVersion, removeVersion } from "../../server/actions/versions.ts";
import { wholeJournalText } from "../../server/answers/wholeJournal.ts";
import { mergedLists } from "../../server/bench/document/registers.ts";
import { outcomes } from "../../server/bench/things/outcome.ts";
import { Refusal } from "../../server/bench/things/refusal.ts";
import { documentReader } from "../../server/csv/documentReader.ts";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import { type Journal, joinJournal } from "../../server/store/file/journal.ts";
import { stagedDocument } from "../../server/store/file/stagedDocument.ts";
import { migrations } from "./bench.ts";
import { madePng } from "./madePictures.ts";

/** A bench with a journal of its own and a clock that may be days off. */
export type Bench = Readonly<{ journal: Journal; now(): string; at(): At; restart(): Bench }>;

/** Joined, not opened, since a copy of one that was opened needs neither looking over nor migrating. */
function benchOn(file: string, random: SeededRandom, offDays: number): Bench {
  const drawn = (count: number) => Uint8Array.from({ length: count }, () => random.index(256));
  const journal = joinJournal(file, { migrations, randomBytes: drawn });
  journal.db.$client.pragma("synchronous = OFF");
  let clock = Date.parse("2031-05-04T12:00:00.000Z") + offDays * 86_400_000;
  /** Time passes, stands still, or is set back by hours. */
  const now = (): string => {
    const drawn = random.uniform();
    clock += drawn < 0.3 ? 0 : drawn < 0.97 ? Math.floor(random.exponential() * 600_000) : -7_200_000;
    return new Date(clock).toISOString();
  };
  return {
    journal,
    now,
    at: () => ({ journal, now: now() }),
    restart: () => {
      journal.close();
      return benchOn(file, random, offDays);
    },
  };
}

export function benchesFrom(template: string, folder: string, random: SeededRandom): Bench[] {
  return [-3.2, 0, 41].map((offDays, place) => {
    const file = path.join(folder, `bench-${place}.db`);
    copyFileSync(template, file);
    return benchOn(file, random, offDays);
  });
}

export const exportOf = ({ journal, at }: Bench): string => [...wholeJournalText(journal, at().now)].join("");

/** What two journals must agree in: all of the export but its time, and attempts that still run. */
export function heldBy(bench: Bench): Record<string, unknown> {
  const { exportedAt: _at, ...held } = JSON.parse(exportOf(bench));
  return held;
}

export function importInto({ journal, at }: Bench, document: string): MergeResult {
  const staged = stagedDocument();
  try {
    const reader = documentReader(staged.keep);
    reader.write(Buffer.from(document));
    reader.end();
    return journal.writeNow(() => mergeJournal(staged, at()));
  } finally {
    staged.close();
  }
}

type Deed = (at: At, random: SeededRandom) => unknown;

const words = ["quiet", "loud", "warm", "cold", "late", "early"];
const oneOf = <Item>(items: readonly Item[], random: SeededRandom): Item =>
  items[random.index(items.length)] as Item;
const word = (random: SeededRandom): string => `${oneOf(words, random)} ${random.index(50)}`;

function some<Thing extends { id: string }>(all: readonly Thing[], random: SeededRandom): Thing {
  if (all.length === 0) throw new Refusal("missing", "There is none.");
  return oneOf(all, random);
}

const attemptsIn = ({ journal }: At) => journal.attempts.all();

const additions: readonly Deed[] = [
  (at, random) => chipActions.add({ name: word(random), kind: "cpu", tempLimitC: 95 }, at),
  (at, random) => boardActions.add({ name: word(random) }, at),
  (at, random) => workloadActions.add({ name: word(random), kind: "all-core" }, at),
  (at, random) =>
    ruleActions.add(
      {
        name: word(random),
        requires: [{ workloadId: some(at.journal.workloads.all(), random).id, durationS: 600 }],
      },
      at,
    ),
  (at, random) => {
    const { chips, boards, builds, rules } = at.journal;
    const of = { chipId: some(chips.all(), random).id, boardId: some(boards.all(), random).id };
    const ruleId = random.uniform() < 0.5 ? some(rules.all(), random).id : null;
    const based = random.uniform() < 0.5 && builds.all().length > 0;
    const basedOn = based ? some(builds.all(), random).id : null;
    return addBuild({ name: word(random), ...of, ruleId, basedOn, change: basedOn && "a fan" }, at);
  },
  (at, random) => {
    const mountedAt = new Date(Date.parse(at.now) - random.index(9) * 3_600_000).toISOString();
    return addMount(some(at.journal.builds.all(), random).id, { mountedAt, paste: word(random) }, at);
  },
  (at, random) =>
    addVersion(some(at.journal.builds.all(), random).id, { of: "firmware", name: word(random) }, at),
  (at, random) =>
    addNoise(
      some(at.journal.builds.all(), random).id,
      { distanceM: 1, levelsDba: [40 + random.index(9)] },
      at,
    ),
  (at, random) => recordAttempt(some(at.journal.builds.all(), random).id, attemptDraft(at, random), at),
  (at, random) => recordAttempt(some(at.journal.builds.all(), random).id, attemptDraft(at, random), at),
  (at, random) => addPicture({ thing: "attempts", id: some(attemptsIn(at), random).id }, picture(random), at),
  (at, random) =>
    addPicture({ thing: "builds", id: some(at.journal.builds.all(), random).id }, picture(random), at),
];

const picture = (random: SeededRandom) => ({
  bytes: madePng({ orientation: 1 + random.index(3) }),
  caption: word(random),
});

function attemptDraft(at: At, random: SeededRandom) {
  const isRunning = random.uniform() < 0.25;
  return {
    workloadId: some(at.journal.workloads.all(), random).id,
    clockMhz: 4000 + 25 * random.index(40),
    voltageMv: 1000 + 12.5 * random.index(20),
    note: word(random),
    ...(isRunning ? { outcome: "running" as const } : { outcome: "pass" as const, durationS: 900 }),
  };
}

const edits: readonly Deed[] = [
  (at, random) => chipActions.edit(some(at.journal.chips.all(), random).id, noteOrLimit(random), null, at),
  (at, random) =>
    boardActions.edit(some(at.journal.boards.all(), random).id, { note: word(random) }, null, at),
  (at, random) =>
    workloadActions.edit(some(at.journal.workloads.all(), random).id, { note: word(random) }, null, at),
  (at, random) => ruleActions.edit(some(at.journal.rules.all(), random).id, { name: word(random) }, null, at),
  (at, random) =>
    editBuild(
      some(at.journal.builds.all(), random).id,
      oneOf(
        [
          { cooler: word(random) },
          { note: word(random) },
          { ruleId: some(at.journal.rules.all(), random).id },
          { basedOn: some(at.journal.builds.all(), random).id, change: word(random) },
          { basedOn: null, change: null },
        ],
        random,
      ),
      null,
      at,
    ),
  (at, random) =>
    editMount(
      some(at.journal.mounts.all(), random).id,
      random.uniform() < 0.5
        ? { note: word(random) }
        : { mountedAt: new Date(Date.parse(at.now) - random.index(200) * 600_000).toISOString() },
      null,
      at,
    ),
  (at, random) => editVersion(some(at.journal.versions.all(), random).id, { note: word(random) }, null, at),
  (at, random) => editNoise(some(at.journal.noise.all(), random).id, { note: word(random) }, null, at),
  (at, random) => captionPicture(some(at.journal.pictures.all(), random).id, word(random), null, at),
  ...Array.from(
    { length: 3 },
    (): Deed => (at, random) => editAttempt(some(attemptsIn(at), random).id, attemptEdit(random), null, at),
  ),
  (at, random) =>
    endWithOutput(some(attemptsIn(at), random).id, { note: word(random), output: word(random) }, null, at),
  (at, random) => setAsideAttempt(some(attemptsIn(at), random).id, word(random), at),
  (at, random) => putBackAttempt(some(attemptsIn(at), random).id, at),
  (at, random) => someSamples(some(attemptsIn(at), random).id, at, random),
  (at, random) => {
    const { id } = some(attemptsIn(at), random);
    at.journal.traces.drop(id);
    at.journal.attempts.noteHanging(id, "trace", at.now);
  },
  (at, random) => {
    const builds = some(at.journal.builds.all(), random).id;
    const own = random.uniform() < 0.3 ? "as it was" : word(random);
    return keepOwnWords(
      builds,
      [{ slot: oneOf(["title", "caveats"], random), words: own, replaced: "as it was" }],
      at,
    );
  },
];

function someSamples(id: string, at: At, random: SeededRandom) {
  const t = Array.from({ length: 3 }, () => random.index(40));
  const values = [t.map(() => 40 + random.index(30))];
  const channels = [{ channel: "temperature", unit: "°C" }];
  return keepSamples(id, { t, values, channels, skipped: [] }, at);
}

const noteOrLimit = (random: SeededRandom) =>
  random.uniform() < 0.5 ? { note: word(random) } : { tempLimitC: 80 + random.index(20) };

const attemptEdit = (random: SeededRandom) =>
  oneOf<object>(
    [
      { note: word(random) },
      { tags: [word(random)] },
      { ambientC: 18 + random.index(10) },
      { clockMhz: 4000 + 25 * random.index(40) },
      { voltageMv: 1000 + 12.5 * random.index(20) },
      {
        outcome: oneOf(
          outcomes.filter((one) => one !== "running"),
          random,
        ),
        durationS: 600 + random.index(900),
      },
      { outcome: "pass", durationS: 1200, plannedS: 900 },
      { outcome: "running" },
      { durationS: random.index(3000) },
      { peakTempC: 70 + random.index(20), loadTempC: 60 + random.index(10) },
      {
        startedAt: new Date(Date.parse("2031-03-30T00:00:00Z") + random.index(3000) * 900_000).toISOString(),
      },
      { correctedErrors: { cache: random.index(3) } },
      { correctedErrors: random.index(5) },
    ],
    random,
  );

const removals: readonly Deed[] = [
  (at, random) => chipActions.remove(some(at.journal.chips.all(), random).id, null, at),
  (at, random) => boardActions.remove(some(at.journal.boards.all(), random).id, null, at),
  (at, random) => workloadActions.remove(some(at.journal.workloads.all(), random).id, null, at),
  (at, random) => ruleActions.remove(some(at.journal.rules.all(), random).id, null, at),
  (at, random) => removeBuild(some(at.journal.builds.all(), random).id, null, at),
  (at, random) => removeMount(some(at.journal.mounts.all(), random).id, null, at),
  (at, random) => removeVersion(some(at.journal.versions.all(), random).id, null, at),
  (at, random) => removeNoise(some(at.journal.noise.all(), random).id, null, at),
  (at, random) => removePicture(some(at.journal.pictures.all(), random).id, null, at),
  (at, random) => removeAttempt(some(attemptsIn(at), random).id, null, at),
  (at, random) => removeAttempt(some(attemptsIn(at), random).id, null, at),
];

const restorations: readonly Deed[] = [
  (at, random) => chipActions.restore(some(at.journal.chips.removed(), random).id, at),
  (at, random) => workloadActions.restore(some(at.journal.workloads.removed(), random).id, at),
  (at, random) => restoreBuild(some(at.journal.builds.removed(), random).id, at),
  (at, random) => restoreMount(some(at.journal.mounts.removed(), random).id, at),
  (at, random) => restoreNoise(some(at.journal.noise.removed(), random).id, at),
  (at, random) => restorePicture(some(at.journal.pictures.removed(), random).id, at),
  (at, random) => restoreAttempt(some(at.journal.attempts.removed(50), random).id, at),
];

const someOf = (at: At, random: SeededRandom): readonly string[] =>
  attemptsIn(at).flatMap(({ id }) => (random.uniform() < 0.4 ? [id] : []));

/** Rarer: an edit or a merge is undone, many are corrected at once, something deleted is blanked for good. */
const afterthoughts: readonly Deed[] = [
  (at, random) => {
    const all = [...at.journal.attempts.allGaveWay()].map((one) => ({ ...one, id: one.attemptId }));
    const { attemptId, stamp } = some(all, random);
    return bringGaveWayBack(attemptId, stamp, at);
  },
  (at, random) => undoMerge(some(at.journal.merges.all(), random).id, at),
  (at, random) => {
    const list = oneOf(mergedLists, random);
    return undoEdit(list, some<{ id: string }>(at.journal[list].all(), random).id, at);
  },
  (at, random) => undoEditsAt(some(attemptsIn(at), random).updatedAt, at),
  (at, random) => {
    const value = 18 + random.index(9);
    return correctMany({ ids: someOf(at, random), field: "ambientC", value }, at);
  },
  (at, random) => undoMany(someOf(at, random), oneOf(["ambientC", "clockMhz"], random), at),
  (at, random) =>
    keepHeartbeat(some(attemptsIn(at), random).id, { elapsedS: 10 * random.index(90), tempC: 61 }, at),
  (at, random) => takeUpAgain(some(attemptsIn(at), random).id, at),
  (at, random) => {
    const list = oneOf(mergedLists, random);
    const removed = at.journal[list].removedIds().map((id) => ({ id }));
    return blank(list, some(removed, random).id, at);
  },
];

/** What came of something that a person may do: what it gave, or the words it was refused with. */
export type Done = Readonly<{ gave: unknown } | { refused: string }>;

/** Something that a person may do; what is refused is nothing done. */
export function doSomething(bench: Bench, random: SeededRandom): Done {
  const drawn = random.uniform();
  const deeds = (
    [
      [0.3, additions],
      [0.69, edits],
      [0.83, removals],
      [0.89, restorations],
      [1, afterthoughts],
    ] as const
  ).find(([share]) => drawn < share)?.[1] as readonly Deed[];
  try {
    const at = bench.at();
    return { gave: bench.journal.writeNow(() => oneOf(deeds, random)(at, random)) };
  } catch (error) {
    if (error instanceof Refusal) return { refused: error.message };
    throw error;
  }
}

/** Two benches write a trace, or what the load printed, to one attempt that both know. */
export function writeApart(benches: readonly Bench[], random: SeededRandom): void {
  const [one, other] = benches.map(({ journal }) => journal.attempts.all().map(({ id }) => id));
  const shared = one?.filter((id) => other?.includes(id)) ?? [];
  const id = shared.at(random.index(shared.length || 1));
  if (id === undefined) return;
  const isTrace = random.uniform() < 0.5;
  for (const { journal, at } of benches)
    journal.writeNow(() =>
      isTrace ? someSamples(id, at(), random) : endWithOutput(id, { output: word(random) }, null, at()),
    );
}

/** Something of every kind to begin with, made on one bench and heard of on the others. */
export function begin([first, ...others]: readonly Bench[], random: SeededRandom): void {
  const { journal, at } = first as Bench;
  const pass = { clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 } as const;
  journal.writeNow(() => {
    const workloadId = workloadActions.add({ name: "Stacking", kind: "all-core" }, at()).id;
    ruleActions.add({ name: "Stacked", requires: [{ workloadId, durationS: 600 }] }, at());
    const chipId = chipActions.add({ name: "Tern 8", kind: "cpu", tempLimitC: 95 }, at()).id;
    const boardId = boardActions.add({ name: "Quay S" }, at()).id;
    for (const name of ["Cupboard", "Open frame"]) {
      const build = addBuild({ name, chipId, boardId }, at());
      addMount(build.id, { mountedAt: at().now, paste: "grey" }, at());
      addVersion(build.id, { of: "firmware", name: "F1" }, at());
      addNoise(build.id, { distanceM: 1, levelsDba: [41] }, at());
      addPicture({ thing: "builds", id: build.id }, picture(random), at());
      for (let n = 0; n < 3; n += 1) recordAttempt(build.id, { workloadId, ...pass }, at());
    }
  });
  for (const other of others) importInto(other, exportOf(first as Bench));
}

/** What still runs, ends. */
export function endAll(bench: Bench): void {
  for (const { id } of bench.journal.attempts.running())
    bench.journal.writeNow(() => editAttempt(id, { outcome: "stopped", durationS: 60 }, null, bench.at()));
}
