import { boardFrom } from "../bench/things/board.ts";
import { buildFrom } from "../bench/things/build.ts";
import { chipFrom } from "../bench/things/chip.ts";
import { ruleFrom } from "../bench/things/rule.ts";
import { workloadFrom } from "../bench/things/workload.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";
import type { Keeper } from "./demoParts.ts";
import type { EveningDiary, OtherBench } from "./otherBench.ts";
import { rounded } from "./simulatedAttempt.ts";

/** The truth behind the record of the set. Invented. */
const truth = {
  /** The rate at which it errs once an hour, at 1.35 V and CL 36. */
  limit: 6310,
  width: 34,
  perMv: 2.1,
  perCl: 62,
  /** Each full training draws its own. */
  trainingDeviation: 26,
  startsFailAbove: 150,
  secondsACycle: 380,
  roomC: 20.8,
} as const;

type Set = Readonly<{ rate: number; voltageMv: number; cl: number }>;
type Training = Readonly<{ shift: number }>;

/** A set of memory for the stacking machines, tried over several trainings. */
export function memorySet(kept: Keeper, at: string): OtherBench {
  const chip = { ...kept(at), ...setA };
  const board = { ...kept(at), ...quayM };
  const load = { ...kept(at), ...copyAndCheck };
  const rule = {
    ...kept(at),
    ...ruleFrom({
      name: "Three trainings of copy and check",
      requires: [{ workloadId: load.id, durationS: 1800, cycles: 4, trainings: 3, coldStarts: 1 }],
    }),
  };
  const build = {
    ...kept(at),
    ...buildFrom({
      ...{ name: "Set A on Quay M", chipId: chip.id, boardId: board.id, ruleId: rule.id },
      ...{ cooler: "heat spreaders, a fan above", case: "none, open frame on the bench", firmware: "1.19" },
      ...{ hottestAmbientC: 28, note: "Two modules of one set. Invented for the demo." },
    }),
  };
  return {
    scenario: { chips: [chip], boards: [board], workloads: [load], rules: [rule] },
    ...{ build, paste: "" },
    evening: (diary, random) => eveningWith(diary, load.id, random),
  };
}

const timing = (id: string, name: string, usual: number) =>
  ({ id, name, usual, step: 1, harder: "down", belongs: "setting" }) as const;

/** The chip as its entry has it. */
export const setA = chipFrom({
  ...{ name: "Set A", kind: "memory", tempLimitC: 85, clockUnit: "MT/s", mainPlace: "module A2" },
  clockGrid: [5600, 6000, 6200, 6400, 6600],
  ...{ stockClockMhz: 5600, stockVoltageMv: 1250, voltageCeilingMv: 1450, clockStepMhz: 200 },
  modules: { count: 2, ranks: 1, slots: "A2, B2" },
  limits: { "module B2": 85 },
  knobs: [
    ...[
      timing("cl", "CL", 40),
      timing("trcd", "tRCD", 40),
      timing("trp", "tRP", 40),
      timing("tras", "tRAS", 80),
    ],
    {
      ...{ id: "controller", name: "Controller voltage", unit: "V", step: 0.01, harder: "none" },
      ...{ belongs: "setting", usual: 1.1, ceiling: 1.3 },
    },
  ],
  note: "Invented for the demo. Two modules for the stacking machines.",
});

const quayM = boardFrom({ name: "Quay M", note: "Invented for the demo. Borrowed for the memory alone." });

const copyAndCheck = workloadFrom({
  ...{ name: "Copy and check", kind: "memory", severity: 20 },
  note: "Writes patterns, copies and compares them, cycle after cycle. Invented for the demo.",
});

function eveningWith(diary: EveningDiary, workloadId: string, random: SeededRandom): void {
  const trained = (): Training => ({ shift: truth.trainingDeviation * random.normal() });
  const tried = (set: Set, minutes: number, training: Training, more: object = {}): boolean => {
    const run = ranSet(set, minutes, training, random);
    diary.wrote({
      ...{
        workloadId,
        clockMhz: set.rate,
        voltageMv: set.voltageMv,
        plannedS: minutes * 60,
        training: "full",
      },
      knobs: { cl: set.cl, trcd: 38, trp: 38, tras: 76, controller: 1.15 },
      ...run,
      ...more,
    });
    if (run.outcome !== "pass") diary.rest(4);
    return run.outcome === "pass";
  };
  const threeTrainings = (set: Set): boolean =>
    ["cold", "restart", "restart"].every((startKind) => tried(set, 30, trained(), { startKind }));
  const easy = { rate: 6000, voltageMv: 1350, cl: 36 };
  tried({ ...easy, rate: 5600 }, 10, trained(), { note: "as printed on the modules" });
  tried(easy, 20, trained());
  tried({ ...easy, rate: 6400 }, 20, trained());
  tried({ ...easy, rate: 6400, voltageMv: 1400 }, 20, trained(), { note: "more voltage, does it help?" });
  tried({ ...easy, rate: 6600, voltageMv: 1400 }, 20, trained());
  threeTrainings({ ...easy, rate: 6200 });
  let cl = 34;
  while (cl >= 28 && tried({ ...easy, cl }, 20, trained())) cl -= 2;
  threeTrainings({ ...easy, cl: cl + 2 });
}

/** A module levels after half an hour; the second stands behind the first and is the warmer. */
function ranSet({ rate, voltageMv, cl }: Set, minutes: number, { shift }: Training, random: SeededRandom) {
  const ambientC = rounded(truth.roomC + 0.4 * random.normal(), 0.1);
  const limit = truth.limit + truth.perMv * (voltageMv - 1350) + truth.perCl * (cl - 36) + shift;
  if (rate - limit > truth.startsFailAbove)
    return { outcome: "no-start", durationS: 0, ambientC, starts: { tried: 3, up: 0 } } as const;
  const failsAfter = (60 * random.exponential()) / Math.exp(Math.min((rate - limit) / truth.width, 20));
  const isFailed = failsAfter < minutes;
  const ranS = isFailed ? Math.max(20, Math.round(failsAfter * 60)) : minutes * 60;
  const levelled = 1 - Math.exp(-ranS / 700);
  const firstC = ambientC + levelled * (27 + 0.05 * (voltageMv - 1350)) + 0.4 * random.normal();
  const module = random.uniform() < 0.7 ? "B2" : "A2";
  return {
    ...({ outcome: isFailed ? "wrong-result" : "pass", durationS: ranS, ambientC } as const),
    ...{ loadTempC: rounded(firstC, 0.5), temps: { "module B2": rounded(firstC + 2.5, 0.5) } },
    ...{ starts: { tried: 1, up: 1 }, cycles: Math.floor(ranS / truth.secondsACycle) },
    coveragePct: Math.floor((100 * ranS) / truth.secondsACycle),
    ...(isFailed && { errors: [{ atS: ranS, module, bit: random.index(64) }] }),
  };
}
