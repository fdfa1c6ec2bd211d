import { boardFrom } from "../bench/things/board.ts";
import { buildFrom } from "../bench/things/build.ts";
import { chipFrom } from "../bench/things/chip.ts";
import { workloadFrom } from "../bench/things/workload.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";
import type { Keeper } from "./demoParts.ts";
import type { EveningDiary, OtherBench } from "./otherBench.ts";
import { rounded } from "./simulatedAttempt.ts";

/** How far below its own voltage each core fails once an hour, alone at 60 °C. Invented. */
const limitsMv = { "core 0": 41, "core 1": 54, "core 2": 33 } as const;
type Core = keyof typeof limitsMv;
const cores = Object.keys(limitsMv) as readonly Core[];

/** The truth behind the record. Invented. */
const truth = {
  widthMv: 2,
  /** All cores at once are warmer, and droop further. */
  togetherMv: 1,
  stockMv: 1180,
  ...{ aloneW: 31, togetherW: 76, wattsAMv: 0.16, riseCPerW: 0.43 },
  roomC: 20.6,
} as const;

type Offsets = Readonly<Partial<Record<Core, number>>>;
type Loads = Readonly<{ one: string; all: string }>;

/** The processor that keeps the archive, undervolted core by core so that its machine can be quiet at night. */
export function archiveCores(kept: Keeper, at: string): OtherBench {
  const chip = { ...kept(at), ...plover3 };
  const board = { ...kept(at), ...jetty };
  const [one, all] = [
    { ...kept(at), ...oneByOne },
    { ...kept(at), ...verify },
  ];
  const build = {
    ...kept(at),
    ...buildFrom({
      ...{ name: "Shelf, Plover 3", chipId: chip.id, boardId: board.id },
      ...{ cooler: "low, one slow fan", case: "shelf box, lid on", fans: "one behind, slow" },
      ...{ powerSupply: "250 W, fanless", firmware: "0.94", hottestAmbientC: 28 },
      note: "Keeps the archive, and checks it every night. Invented for the demo.",
    }),
  };
  return {
    scenario: { chips: [chip], boards: [board], workloads: [one, all], rules: [] },
    ...{ build, paste: "white, from the tube" },
    evening: (diary, random) => eveningWith(diary, { one: one.id, all: all.id }, random),
  };
}

const plover3 = chipFrom({
  ...{ name: "Plover 3", kind: "cpu", tempLimitC: 90, axis: "offset", mainPlace: "package" },
  offset: { name: "Core offset", unit: "mV", step: 5, harder: "down", low: -100, high: 0 },
  parts: cores.map((name, i) => ({ name, kernel: `cpu${2 * i}` })),
  ...{ stockClockMhz: 4100, stockVoltageMv: truth.stockMv },
  knobs: [
    {
      ...{ id: "power-limit", name: "Power limit", unit: "W", step: 5, harder: "up" },
      ...{ belongs: "context", usual: 80, ceiling: 90 },
    },
  ],
  note: "Invented for the demo. The archive's processor: three cores, each with an offset of its own.",
});

const jetty = boardFrom({ name: "Jetty", note: "Invented for the demo. The small board of the archive." });

const oneByOne = workloadFrom({
  ...{ name: "One core at a time", kind: "single-core" },
  note: "Unpacks and compares on one core. Invented for the demo.",
});

const verify = workloadFrom({
  ...{ name: "Verify the archive", kind: "all-core" },
  note: "Reads everything back and checks it, on all cores. Invented for the demo.",
});

/** Each core by itself, ten millivolts at a time and then one step easier for longer; then all together; then the night. */
function eveningWith(diary: EveningDiary, loads: Loads, random: SeededRandom): void {
  const alone = (core: Core, offset: number, minutes: number): boolean => {
    const run = ranCores({ [core]: offset }, minutes, random);
    diary.wrote({
      ...{ workloadId: loads.one, part: core, offset, plannedS: minutes * 60, ...run.told },
      ...(run.failed !== null && random.uniform() < 0.5 && { crashPart: core }),
    });
    if (run.failed !== null) diary.rest(3);
    return run.failed === null;
  };
  const together = (offsets: Readonly<Record<Core, number>>, minutes: number, more: object = {}) => {
    const run = ranCores(offsets, minutes, random);
    diary.wrote({
      ...{ workloadId: loads.all, offsets: { ...offsets }, plannedS: minutes * 60, ...run.told },
      ...(run.failed !== null && { crashPart: run.failed }),
      ...more,
    });
    return run.failed;
  };
  const stock = Object.fromEntries(cores.map((core) => [core, 0])) as Record<Core, number>;
  together(stock, 15, { note: "as it came, for the heat" });
  const list = { ...stock };
  for (const core of cores) list[core] = heldAlone((offset, minutes) => alone(core, offset, minutes));
  for (let failed = together(list, 60); failed !== null; failed = together(list, 60)) {
    list[failed] += 5;
    diary.rest(3);
  }
  const bootId = "7f3c2f0e-5d1b-4c0a-9a61-0b6f2d94e1aa";
  const attended = { toldBy: "attendant", loadProved: true, settingReadBack: "cannot-tell", bootId };
  const without = { knobs: { "power-limit": 95 }, aboveCeiling: true };
  together(list, 30, { ...attended, ...without, note: "without its cap, to see the heat" });
  together(list, 240, { ...attended, note: "attended, while the archive was checked" });
}

/** The offset that a core is left at: ten millivolts at a time, then single steps for longer, then three steps easier for an hour. */
function heldAlone(tried: (offset: number, minutes: number) => boolean): number {
  let offset = -15;
  while (tried(offset, 5)) offset -= 10;
  offset += 5;
  while (tried(offset, 20)) offset -= 5;
  while (!tried(offset + 15, 60)) offset += 5;
  return offset + 15;
}

function ranCores(offsets: Offsets, minutes: number, random: SeededRandom) {
  const awake = Object.keys(offsets) as Core[];
  const isAlone = awake.length === 1;
  const meanMv = awake.reduce((sum, core) => sum + (offsets[core] ?? 0), 0) / awake.length;
  const ends = awake.map((core) => ({
    core,
    after: failsAfterMin(core, offsets[core] ?? 0, isAlone, random),
  }));
  const first = ends.reduce((one, other) => (other.after < one.after ? other : one));
  const failed = first.after < minutes ? first.core : null;
  const durationS = failed === null ? minutes * 60 : Math.max(3, Math.round(first.after * 60));
  const powerW = (isAlone ? truth.aloneW : truth.togetherW) + truth.wattsAMv * meanMv * (isAlone ? 0.3 : 1);
  const ambientC = rounded(truth.roomC + 0.4 * random.normal(), 0.1);
  const voltageMv = truth.stockMv + meanMv - 0.4 * powerW;
  const outcome = failed === null ? "pass" : random.uniform() < 0.5 ? "freeze" : "wrong-result";
  const told = {
    ...({ outcome, durationS, ambientC } as const),
    ...(durationS >= 240 && {
      loadTempC: rounded(ambientC + truth.riseCPerW * powerW + 0.6 * random.normal(), 1),
      ...{ powerW: rounded(powerW, 1), powerAt: "chip" as const, effectiveClockMhz: 4100 },
      ...(!isAlone && {
        ...{ currentA: rounded((powerW / voltageMv) * 1000, 1) },
        ...{ loadVoltageMv: rounded(voltageMv, 5), voltageReadAt: "chip" as const },
      }),
    }),
  };
  return { failed, told };
}

function failsAfterMin(core: Core, offset: number, isAlone: boolean, random: SeededRandom): number {
  const limitMv = limitsMv[core] - (isAlone ? 0 : truth.togetherMv);
  return random.exponential() / (Math.exp(Math.min((-offset - limitMv) / truth.widthMv, 20)) / 60);
}
