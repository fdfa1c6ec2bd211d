import { dayMs } from "../actions/keeping.ts";
import { buildFrom } from "../bench/things/build.ts";
import { chipFrom } from "../bench/things/chip.ts";
import { seededRandom } from "../numerics/seededRandom.ts";
import { hourMs, roomOf } from "./benchDays.ts";
import { type BenchDiary, benchDiary, type DemoPlace, type DiaryEntry } from "./benchDiary.ts";
import { demoLoads, sixCores } from "./demoBenches.ts";
import { seededKeeper } from "./demoIds.ts";
import { type DemoParts, onFrame } from "./demoParts.ts";
import { rounded } from "./simulatedAttempt.ts";
import { type TraceRow, traceOf } from "./simulatedTrace.ts";

const idleS = 180;
const heldBackMhz = 4348;
const fanStep = { atS: 540, faster: 1.45, coolerC: 6, slowS: 150 } as const;

/** A log that was kept of one of its attempts. */
type Logged = Readonly<{ entry: DiaryEntry; change?: (row: TraceRow, loadS: number) => TraceRow }>;

/**
 * An evening that went otherwise than meant: one run was held back without a word, in another a fan came up half way, and
 * power was read at the wall. The logs tell the first two.
 */
export function loggedEvening(now: string, seed: number, { boards, workloads }: DemoParts) {
  const kept = seededKeeper(seededRandom(seed + 7));
  const today = Math.floor(Date.parse(now) / dayMs) * dayMs;
  const startMs = today - 5 * dayMs + 18 * hourMs;
  const dated = new Date(startMs).toISOString();
  const chip = { ...kept(dated), ...tern6 };
  const draft = {
    ...onFrame,
    name: "Open frame, six cores",
    firmware: "1.04",
    supplyEfficiencyPct: 89,
    note: "Lent for one evening.",
  };
  const build = { ...kept(dated), ...buildFrom({ ...draft, chipId: chip.id, boardId: boards.quayS.id }) };
  const diary = benchDiary(startMs, roomOf(today), workloads, kept, seededRandom(seed + 8));
  const place = diary.place(build, sixCores, { paste: "grey, from the tube" });
  for (const [clockMhz, voltageMv] of [
    [4100, 1100],
    [4200, 1150],
    [4300, 1150],
    [4300, 1200],
  ] as const)
    readAtTheWall(diary, place, clockMhz, voltageMv);
  const logs = [heldBack(diary, place), fanCameUp(diary, place)];
  return {
    scenario: {
      ...{ chips: [chip], boards: [], workloads: [], rules: [], builds: [build], noise: [] },
      mounts: diary.mounts,
      attempts: diary.entries.map(({ attempt }) => attempt),
    },
    traces: () => logs.map((log, i) => traceOfLog(log, seed + 3000 + i)),
  };
}

const tern6 = chipFrom({
  name: "Tern 6",
  model: "Tern 6",
  kind: "cpu",
  tempLimitC: 95,
  voltageCeilingMv: 1300,
  stockClockMhz: 4200,
  stockVoltageMv: 1150,
  note: "Invented for the demo. Six cores, lent for one evening to see what its logs say.",
});

/** The supply loses its part, and the rest of the machine takes some fifty watts. */
function readAtTheWall(diary: BenchDiary, place: DemoPlace, clockMhz: number, voltageMv: number): void {
  diary.tryOut(place, {
    ...{ load: "stacking", clockMhz, voltageMv, minutes: 15 },
    change: ({ powerW }) => ({
      powerW: powerW === null ? null : rounded((powerW + 52) / 0.89, 1),
      powerAt: "wall",
      note: "the plug's meter",
    }),
  });
}

/** What was set never ran: the board's power limit took the clock down, and the log alone shows it. */
function heldBack(diary: BenchDiary, place: DemoPlace): Logged {
  const entry = diary.tryOut(place, {
    ...{ load: "stacking", clockMhz: heldBackMhz, voltageMv: 1200, minutes: 20 },
    change: {
      clockMhz: 4500,
      effectiveClockMhz: heldBackMhz,
      throttled: true,
      powerW: null,
      powerAt: null,
      note: "4500, and not a wobble? The log says why",
    },
  });
  return { entry };
}

/** The fan went to another speed at minute nine: where it would have levelled before is not what comes after. */
function fanCameUp(diary: BenchDiary, place: DemoPlace): Logged {
  const entry = diary.tryOut(place, {
    ...{ load: "stacking", clockMhz: 4325, voltageMv: 1200, minutes: 20 },
    change: ({ loadTempC }) => ({
      loadTempC: loadTempC === null ? null : rounded(loadTempC - fanStep.coolerC, 0.1),
      powerW: null,
      powerAt: null,
      note: "somebody plugged the second fan in half way",
    }),
  });
  return {
    entry,
    change: (row, loadS) => {
      const sinceS = loadS - fanStep.atS;
      if (sinceS < 0) return row;
      const cooler = fanStep.coolerC * -Math.expm1(-sinceS / fanStep.slowS);
      return {
        ...row,
        tempC: Math.round(row.tempC - cooler),
        fanRpm: Math.round(fanStep.faster * row.fanRpm),
      };
    },
  };
}

function traceOfLog({ entry: { attempt, run, bench }, change }: Logged, seed: number) {
  const clockMhz = attempt.effectiveClockMhz ?? attempt.clockMhz;
  const setting = { clockMhz, voltageMv: attempt.voltageMv };
  const span = { beforeS: idleS, afterS: 60 };
  const rows = traceOf(bench, setting, demoLoads.stacking, run, span, seededRandom(seed));
  const startedAt = new Date(Date.parse(attempt.startedAt) - 1000 * idleS).toISOString();
  const changed = change ? rows.map((row) => change(row, row.timeS - idleS)) : rows;
  return { attemptId: attempt.id, startedAt, rows: changed };
}
