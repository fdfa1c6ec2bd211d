import { type Build, type Mount, mountFrom, type Parts, partsOf } from "../bench/things/build.ts";
import { isCrash, neverStarted } from "../bench/things/outcome.ts";
import type { Workload } from "../bench/things/workload.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";
import { asWritten } from "./asWritten.ts";
import { type DemoLoadKey, demoLoads } from "./demoBenches.ts";
import type { Keeper } from "./demoParts.ts";
import type { Intent, SetAttempt } from "./intent.ts";
import { remarkDrawer, remarkPool } from "./remarks.ts";
import { runAttempt, type SimulatedAttempt } from "./simulatedAttempt.ts";
import { inRoom, remounted, type SimulatedBench, type SimulatedRoom } from "./simulatedBench.ts";

/** A build as it stands on the bench: what is written of it, and what is true of it. */
export type DemoPlace = {
  readonly build: Build;
  parts: Parts;
  bench: SimulatedBench;
  mount: Mount;
  coldNext: boolean;
};

/** An attempt as written down, and the run behind it. */
export type DiaryEntry = Readonly<{ attempt: SetAttempt; run: SimulatedAttempt; bench: SimulatedBench }>;

export type BenchDiary = Readonly<{
  tryOut(place: DemoPlace, intent: Intent): DiaryEntry;
  place(
    build: Build,
    bench: SimulatedBench,
    firstMount: Readonly<{ paste: string; note?: string }>,
  ): DemoPlace;
  remount(place: DemoPlace, paste: string, note: string): void;
  pass(minutes: number): void;
  /** Moves on to an instant, such as the next morning. */
  until(ms: number): void;
  now(): string;
  room(): SimulatedRoom;
  entries: readonly DiaryEntry[];
  mounts: readonly Mount[];
}>;

/** Runs the bench and writes down what a tester would, minute by minute. */
export function benchDiary(
  startMs: number,
  roomAt: (ms: number) => SimulatedRoom,
  workloads: Readonly<Record<DemoLoadKey, Workload>>,
  kept: Keeper,
  random: SeededRandom,
): BenchDiary {
  const entries: DiaryEntry[] = [];
  const mounts: Mount[] = [];
  const remark = remarkDrawer(random);
  let ms = startMs;
  const now = () => new Date(ms).toISOString();
  const pass = (minutes: number) => {
    ms += Math.round(minutes * 60) * 1000;
  };
  const addMount = (build: Build, mountedAt: string | null, paste: string, note = ""): Mount => {
    const mount = {
      ...kept(mountedAt ?? build.createdAt),
      buildId: build.id,
      ...mountFrom({ mountedAt, paste, note }),
    };
    mounts.push(mount);
    return mount;
  };

  function tryOut(place: DemoPlace, intent: Intent): DiaryEntry {
    pass(random.uniformIn(1.5, 3.5));
    const bench = inRoom(place.bench, roomAt(ms));
    const plannedS = intent.minutes * 60;
    const ran = runAttempt(bench, intent, demoLoads[intent.load], plannedS, random);
    const run = brokenOff(ran, intent.brokenOffMin);
    const pool = remarkPool(run.outcome, run.durationS, intent.proof === true);
    const written = asWritten(run, workloads[intent.load], intent, place.coldNext, random);
    const said = pool !== undefined && random.uniform() < (pool === "proof" ? 0.8 : 0.45) ? remark(pool) : "";
    const attempt: SetAttempt = {
      ...kept(now()),
      buildId: place.build.id,
      mountId: place.mount.id,
      asBuilt: place.parts,
      startedAt: now(),
      ...written,
      note: said,
      ...(typeof intent.change === "function" ? intent.change(run) : intent.change),
    };
    const endedMs = ms + Math.ceil(run.durationS) * 1000;
    const entry = { attempt: { ...attempt, updatedAt: new Date(endedMs).toISOString() }, run, bench };
    entries.push(entry);
    ms = endedMs;
    pass(recoveryMin(run));
    place.coldNext = neverStarted(run.outcome);
    return entry;
  }

  return {
    tryOut,
    pass,
    now,
    entries,
    mounts,
    until: (at) => {
      ms = Math.max(ms, at);
    },
    room: () => roomAt(ms),
    place: (build, bench, { paste, note }) => {
      const mount = addMount(build, null, paste, note);
      return { build, parts: partsOf(build), bench: remounted(bench, random), mount, coldNext: true };
    },
    remount: (place, paste, note) => {
      pass(random.uniformIn(18, 24));
      place.bench = remounted(place.bench, random);
      place.mount = addMount(place.build, now(), paste, note);
      place.coldNext = true;
      pass(4);
    },
  };
}

function brokenOff(run: SimulatedAttempt, atMin: number | undefined): SimulatedAttempt {
  if (atMin === undefined || run.durationS <= atMin * 60) return run;
  return { ...run, outcome: "stopped", durationS: atMin * 60, failedAtS: null };
}

function recoveryMin(run: SimulatedAttempt): number {
  if (neverStarted(run.outcome)) return 4;
  return isCrash(run.outcome) ? 3 : 0.5;
}
