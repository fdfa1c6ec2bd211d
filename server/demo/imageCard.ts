import { boardFrom } from "../bench/things/board.ts";
import { buildFrom } from "../bench/things/build.ts";
import { chipFrom } from "../bench/things/chip.ts";
import { workloadFrom } from "../bench/things/workload.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";
import type { Keeper } from "./demoParts.ts";
import type { EveningDiary, OtherBench } from "./otherBench.ts";
import type { Scenario } from "./scenario.ts";
import { rounded } from "./simulatedAttempt.ts";

/** The offsets at which the cards fail once an hour, at 70 °C and with the memory as it came. Invented. */
const limitsMhz = { lens3: 171, lens4: 229 } as const;

/** The truth behind either card's record. Invented. */
const truth = {
  widthMhz: 8,
  lossMhzPerC: 0.45,
  /** So much of the core's offset each MHz of the memory's costs. */
  perMemoryMhz: 0.014,
  memoryLimitMhz: 900,
  memoryWidthMhz: 35,
  powerW: 228,
  riseCPerW: 0.196,
  hotspotAboveC: 13.5,
  roomC: 21.4,
} as const;

type Set = Readonly<{ offset: number; powerPct: number; memoryMhz: number }>;

/** The card that sharpens the observatory's images, on a bench of its own. */
export function imageCard(kept: Keeper, at: string): OtherBench {
  const chip = { ...kept(at), ...lens3 };
  const board = { ...kept(at), ...pier };
  const load = { ...kept(at), ...deconvolve };
  const build = {
    ...kept(at),
    ...buildFrom({
      ...{ name: "Long rig, Lens 3", chipId: chip.id, boardId: board.id },
      ...{ cooler: "its own, three fans", case: "long rig, side open", fans: "as they come" },
      ...{ powerSupply: "750 W bench supply", firmware: "3.02", hottestAmbientC: 28 },
      note: "Sharpens the night's images before breakfast. Invented for the demo.",
    }),
  };
  return {
    scenario: { chips: [chip], boards: [board], workloads: [load], rules: [] },
    ...{ build, paste: "as it came" },
    evening: (diary, random) =>
      eveningWith(diary, { workloadId: load.id, limitMhz: limitsMhz.lens3 }, random),
  };
}

/** Its spare, on the same rig under the same load: how far two cards of one kind lie apart. */
export function spareCard(first: Pick<Scenario, "boards" | "workloads" | "builds">) {
  const [board, load, rig] = [first.boards[0]!, first.workloads[0]!, first.builds[0]!];
  return (kept: Keeper, at: string): OtherBench => {
    const chip = { ...kept(at), ...lens4 };
    const build = {
      ...kept(at),
      ...buildFrom({
        ...{ name: "Long rig, Lens 4", chipId: chip.id, boardId: board.id },
        ...{ cooler: rig.cooler, case: rig.case, fans: rig.fans, powerSupply: rig.powerSupply },
        ...{ firmware: rig.firmware, hottestAmbientC: rig.hottestAmbientC },
        note: "The spare, to see which of the two goes further. Invented for the demo.",
      }),
    };
    return {
      scenario: { chips: [chip], boards: [], workloads: [], rules: [] },
      ...{ build, paste: "as it came" },
      evening: (diary, random) =>
        eveningWith(diary, { workloadId: load.id, limitMhz: limitsMhz.lens4 }, random),
    };
  };
}

const cardNamed = (name: string, note: string) =>
  chipFrom({
    ...{ name, kind: "gpu", tempLimitC: 88, axis: "offset", mainPlace: "edge" },
    offset: { name: "Clock offset", unit: "MHz", step: 15, harder: "up", low: -500, high: 500 },
    ...{ stockClockMhz: 2490, stockVoltageMv: 1050, appliedBy: "software", limits: { hotspot: 105 } },
    knobs: [
      {
        ...{ id: "power-limit", name: "Power limit", unit: "%", step: 5, harder: "up" },
        ...{ belongs: "context", usual: 100, ceiling: 115 },
      },
      {
        ...{ id: "memory-offset", name: "Memory offset", unit: "MHz", step: 50, harder: "up" },
        ...{ belongs: "setting", usual: 0, ceiling: 1000 },
      },
    ],
    note,
  });

/** The chip as its entry has it. */
export const lens3 = cardNamed("Lens 3", "Invented for the demo. The observatory's image-processing card.");
const lens4 = cardNamed("Lens 4", "Invented for the demo. The spare of the image-processing card.");

const pier = boardFrom({ name: "Pier", note: "Invented for the demo. Whatever board the long rig has." });

const deconvolve = workloadFrom({
  ...{ name: "Deconvolve", kind: "graphics", severity: 30, scoreUnit: "images/min", scoreBetter: "higher" },
  note: "Sharpens the same forty images over and over. Invented for the demo.",
});

type OnCard = Readonly<{ workloadId: string; limitMhz: number }>;

/** Thirty MHz at a time, then single steps for longer, then the memory, then more power. */
function eveningWith(diary: EveningDiary, { workloadId, limitMhz }: OnCard, random: SeededRandom): void {
  let wasReset = false;
  const tried = (set: Set, minutes: number, note = "", more: object = {}): boolean => {
    const run = ranCard(set, minutes, limitMhz, random);
    const isPass = run.outcome === "pass";
    diary.wrote({
      ...{ workloadId, offset: set.offset, ...run, plannedS: minutes * 60, note },
      knobs: { "power-limit": set.powerPct, "memory-offset": set.memoryMhz },
      ...(wasReset && { settingReadBack: "confirmed" as const }),
      ...more,
    });
    wasReset = run.outcome === "driver-reset";
    if (!isPass) diary.rest(3);
    return isPass;
  };
  const plain = { powerPct: 100, memoryMhz: 0 };
  let offset = 60;
  const booted = { freshBoot: true, settingReadBack: "confirmed", lowestTempC: truth.roomC + 8 };
  tried({ ...plain, offset: 0 }, 10, "as it came, for the heat", booted);
  while (tried({ ...plain, offset }, 5)) offset += 30;
  offset -= 30;
  while (tried({ ...plain, offset }, 20)) offset += 15;
  offset -= 30;
  tried({ ...plain, offset }, 60, "an hour, two steps under what failed");
  let memoryMhz = 200;
  while (tried({ ...plain, offset, memoryMhz }, 15, memoryMhz === 200 ? "now the memory" : ""))
    memoryMhz += 200;
  memoryMhz -= 200;
  tried({ ...plain, offset, memoryMhz }, 30);
  tried({ offset: offset - 15, memoryMhz, powerPct: 110 }, 60, "one step less, and more power");
}

function ranCard(
  { offset, powerPct, memoryMhz }: Set,
  minutes: number,
  limitMhz: number,
  random: SeededRandom,
) {
  const ambientC = rounded(truth.roomC + 0.4 * random.normal(), 0.1);
  const powerW = truth.powerW * Math.min(powerPct / 100, 0.96 + offset / 1800);
  const edgeC = ambientC + truth.riseCPerW * powerW + 0.6 * random.normal();
  const limit = limitMhz - truth.lossMhzPerC * (edgeC - 70) - truth.perMemoryMhz * memoryMhz;
  const core = Math.exp(Math.min((offset - limit) / truth.widthMhz, 20)) / 60;
  const memory = Math.exp(Math.min((memoryMhz - truth.memoryLimitMhz) / truth.memoryWidthMhz, 20)) / 60;
  const failsAfter = random.exponential() / (core + memory);
  const isFailed = failsAfter < minutes;
  const ranS = isFailed ? Math.max(4, Math.round(failsAfter * 60)) : minutes * 60;
  const isMemory = isFailed && random.uniform() < memory / (core + memory);
  const outcome = isFailed ? (isMemory || random.uniform() < 0.4 ? "artefacts" : "driver-reset") : "pass";
  return {
    ...({ outcome, durationS: ranS, ambientC } as const),
    ...(ranS >= 240 && {
      loadTempC: rounded(edgeC, 1),
      temps: { hotspot: rounded(edgeC + truth.hotspotAboveC + 0.06 * (powerW - truth.powerW), 1) },
      ...{ powerW: rounded(powerW, 1), powerAt: "chip" as const },
      effectiveClockMhz: rounded(2490 + offset - 0.6 * (edgeC - 60), 1),
      score: rounded((2490 + offset + 0.05 * memoryMhz) * 0.0121, 0.1),
    }),
  };
}
