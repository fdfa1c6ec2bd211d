import type { Board } from "../bench/things/board.ts";
import { boardFrom } from "../bench/things/board.ts";
import { type Build, type BuildDraft, buildFrom } from "../bench/things/build.ts";
import { type Chip, chipFrom } from "../bench/things/chip.ts";
import { type Rule, ruleFrom } from "../bench/things/rule.ts";
import type { Kept } from "../bench/things/thing.ts";
import { type Workload, workloadFrom } from "../bench/things/workload.ts";
import type { DemoBuildKey, DemoLoadKey } from "./demoBenches.ts";

/** Gives a thing its id and dates, as of the instant it was written down. */
export type Keeper = (at: string) => Kept;

export type DemoParts = Readonly<{
  chip: Chip;
  boards: Readonly<{ quayL: Board; quayS: Board }>;
  workloads: Readonly<Record<DemoLoadKey, Workload>>;
  rules: readonly Rule[];
  builds: Readonly<Record<DemoBuildKey, Build>>;
}>;

/** What stood on the bench on the first morning. Builds are dated by the day they were put together. */
export function demoParts(kept: Keeper, at: Readonly<Record<DemoBuildKey, string>>): DemoParts {
  const first = at.frameL;
  const chip = { ...kept(first), ...tern8 };
  const boards = { quayL: { ...kept(first), ...quayL }, quayS: { ...kept(first), ...quayS } };
  const workloads = demoWorkloads(kept, first);
  const rules = [hourOfStacking(workloads), observatoryNight(workloads)].map((rule) => ({
    ...kept(first),
    ...rule,
  }));
  const build = (key: DemoBuildKey, board: Board, draft: Omit<BuildDraft, "chipId" | "boardId">): Build => ({
    ...kept(at[key]),
    ...buildFrom({ ...draft, chipId: chip.id, boardId: board.id }),
  });
  const cupboardS = build("cupboardS", boards.quayS, { ...inCupboard, name: "Cupboard, Quay S" });
  const builds = {
    frameL: build("frameL", boards.quayL, { ...onFrame, name: "Open frame, Quay L", firmware: "2.11" }),
    frameS: build("frameS", boards.quayS, { ...onFrame, name: "Open frame, Quay S", firmware: "1.06" }),
    cupboardL: build("cupboardL", boards.quayL, {
      ...inCupboard,
      name: "Cupboard, Quay L",
      firmware: "2.11",
      powerSupply: "550 W, the one from the dome",
    }),
    cupboardS,
    louvredS: build("louvredS", boards.quayS, {
      ...inCupboard,
      name: "Cupboard, louvred door",
      basedOn: cupboardS.id,
      change: "Solid door swapped for the louvred one; everything else untouched.",
      note: "If this is worth more than two degrees the joiner gets the job for all three cupboards.",
    }),
  };
  return { chip, boards, workloads, rules, builds };
}

export const tern8 = chipFrom({
  name: "Tern 8",
  model: "Tern 8",
  kind: "cpu",
  tempLimitC: 95,
  voltageCeilingMv: 1300,
  stockClockMhz: 4300,
  stockVoltageMv: 1150,
  note: "Invented for the demo. Eight cores; the sample that moves from board to board.",
});

const quayL = boardFrom({
  name: "Quay L",
  formFactor: "full size",
  corePhases: 12,
  phaseRatingA: 60,
  supplyTempLimitC: 110,
  note: "Invented for the demo. The big one, on loan until the end of the month.",
});

const quayS = boardFrom({
  name: "Quay S",
  formFactor: "small, 170 mm square",
  corePhases: 6,
  phaseRatingA: 55,
  supplyTempLimitC: 105,
  note: "Invented for the demo. Half the price and fits the shelf without sawing.",
});

export const onFrame = {
  cooler: "single tower, one 120 mm fan",
  case: "none, open frame on the bench",
  fans: "one on the tower, quiet curve",
  orientation: "board flat, air across",
  memory: "2 × 32 GB at 5200 MT/s",
  powerSupply: "750 W bench supply",
};

const inCupboard = {
  cooler: "single tower, one 120 mm fan",
  case: "equipment cupboard, middle shelf",
  fans: "tower fan and two 140 mm in the roof, quiet curve",
  orientation: "board upright, air upwards",
  memory: "2 × 32 GB at 5200 MT/s",
  powerSupply: "550 W, the one from the dome",
  firmware: "1.06",
  hottestAmbientC: 30,
};

function demoWorkloads(kept: Keeper, at: string): Record<DemoLoadKey, Workload> {
  return {
    idle: { ...kept(at), ...workloadFrom({ name: "Idle, desktop up", kind: "idle" }) },
    stacking: {
      ...kept(at),
      ...workloadFrom({
        name: "Stacking",
        kind: "all-core",
        severity: 30,
        scoreUnit: "frames/min",
        scoreBetter: "higher",
        note: "Our own frames, 400 of the same cluster over and over. The heaviest thing these machines ever do.",
      }),
    },
    solving: {
      ...kept(at),
      ...workloadFrom({ name: "Plate solving", kind: "mixed", severity: 20, note: "Bursts on all cores." }),
    },
    capture: {
      ...kept(at),
      ...workloadFrom({
        name: "Night capture",
        kind: "everyday",
        severity: 10,
        note: "Camera, guiding and the disk writing: what runs from dusk to dawn.",
      }),
    },
    bursts: {
      ...kept(at),
      ...workloadFrom({
        name: "Stacking in bursts",
        kind: "transition",
        note: "Two seconds on, one off: the voltage dips each time. For voltages set low.",
      }),
    },
  };
}

const hourOfStacking = (loads: Readonly<Record<DemoLoadKey, Workload>>) =>
  ruleFrom({ name: "An hour of stacking", requires: [{ workloadId: loads.stacking.id, durationS: 3600 }] });

const observatoryNight = (loads: Readonly<Record<DemoLoadKey, Workload>>) =>
  ruleFrom({
    name: "An observatory night",
    requires: [
      { workloadId: loads.stacking.id, durationS: 3600 },
      { workloadId: loads.capture.id, durationS: 1800 },
    ],
  });
