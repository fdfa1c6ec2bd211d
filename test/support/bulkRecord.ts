import { boardFrom } from "../../server/bench/things/board.ts";
import { type Build, buildFrom, type Mount, mountFrom } from "../../server/bench/things/build.ts";
import { chipFrom } from "../../server/bench/things/chip.ts";
import { type Workload, workloadFrom } from "../../server/bench/things/workload.ts";
import { asWritten } from "../../server/demo/asWritten.ts";
import { seededKeeper } from "../../server/demo/demoIds.ts";
import { fillWithScenario } from "../../server/demo/demoJournal.ts";
import type { Keeper } from "../../server/demo/demoParts.ts";
import { runAttempt } from "../../server/demo/simulatedAttempt.ts";
import { allCoreLoad, type SimulatedBench } from "../../server/demo/simulatedBench.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import type { AttemptFields } from "../../server/store/attempts/attemptRow.ts";
import type { Journal } from "../../server/store/file/journal.ts";
import { acceptableClockMhz, drawnBench } from "./drawnBench.ts";

export type BulkSize = Readonly<{
  builds: number;
  attempts: number;
  seed: number;
  /** When the last attempt began. */
  until?: string;
}>;

type Run = Omit<AttemptFields, "startedAt"> & { startedAt: string };
type Site = Readonly<{
  build: Build;
  mount: Mount;
  stateId: number;
  bench: SimulatedBench;
  runs: readonly Run[];
}>;

/** Each build's attempts repeat this many simulated ones. */
const runsPerBuild = 80;
const voltagesMv = [1150, 1175, 1200, 1225, 1250, 1275, 1300];

/**
 * Fills a fresh journal with as many builds and attempts as asked for, whole or not at all: chips drawn at random and
 * tried about their limits, one build after the other, a minute apart. For measuring, not for showing.
 */
export function fillInBulk(journal: Journal, size: BulkSize): void {
  const random = seededRandom(size.seed);
  const kept = seededKeeper(seededRandom(size.seed + 1));
  const endMs = Date.parse(size.until ?? "2031-05-04T12:00:00.000Z");
  const startMs = endMs - (size.attempts - 1) * 60_000;
  journal.writeNow(() => {
    const sites = bulkSites(journal, size.builds, kept, new Date(startMs).toISOString(), random);
    for (let index = 0; index < size.attempts; index++) {
      const { runs, stateId } = sites[index % sites.length]!;
      const run = runs[random.index(runs.length)];
      if (run === undefined) continue;
      // One object over and over: copying this many fields costs more than writing them.
      run.startedAt = new Date(startMs + index * 60_000).toISOString();
      journal.attempts.put(kept(run.startedAt), run, stateId);
    }
  });
}

function bulkSites(
  journal: Journal,
  count: number,
  kept: Keeper,
  at: string,
  random: SeededRandom,
): readonly Site[] {
  const chip = { ...kept(at), ...chipFrom({ name: "Drawn chip", kind: "cpu", tempLimitC: 100 }) };
  const board = { ...kept(at), ...boardFrom({ name: "Drawn board" }) };
  const load = { ...kept(at), ...workloadFrom({ name: "All cores", kind: "all-core", severity: 10 }) };
  const sites = Array.from({ length: count }, (_, index): Site => {
    const draft = { name: `Build ${index + 1}`, chipId: chip.id, boardId: board.id };
    const build = { ...kept(at), ...buildFrom(draft) };
    const mount = { ...kept(at), buildId: build.id, ...mountFrom({ mountedAt: null }) };
    return { build, mount, stateId: 0, bench: drawnBench(random, "mixed"), runs: [] };
  });
  fillWithScenario(journal, {
    chips: [chip],
    boards: [board],
    workloads: [load],
    rules: [],
    builds: sites.map(({ build }) => build),
    mounts: sites.map(({ mount }) => mount),
    attempts: [],
    noise: [],
  });
  return sites.map((site) => ({
    ...site,
    runs: runsOf(site, load, at, random),
    stateId: journal.builds.stateOf(site.build),
  }));
}

function runsOf(
  { build, mount, bench }: Site,
  workload: Workload,
  startedAt: string,
  random: SeededRandom,
): readonly Run[] {
  const shared = {
    buildId: build.id,
    mountId: mount.id,
    startedAt,
    note: "",
  };
  const acceptable = voltagesMv.map((voltageMv) => acceptableClockMhz(bench, voltageMv));
  return Array.from({ length: runsPerBuild }, () => {
    const step = random.index(voltagesMv.length);
    const about = (acceptable[step] ?? 5000) + 25 + 60 * random.normal();
    const setting = { voltageMv: voltagesMv[step] ?? 1250, clockMhz: Math.round(about / 25) * 25 };
    const intent = { load: "stacking", ...setting, minutes: random.uniform() < 0.8 ? 10 : 20 } as const;
    const run = runAttempt(bench, setting, allCoreLoad, intent.minutes * 60, random);
    return { ...asWritten(run, workload, intent, false, random), ...shared };
  });
}
