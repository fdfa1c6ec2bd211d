import type { KernelWords } from "../kernel/kernelWords.ts";
import type { Expected } from "./earlier.ts";
import type { ExitMeanings } from "./ending.ts";
import type { StopLimits } from "./heatWatch.ts";
import type { StartLoad } from "./load.ts";
import type { MachineReader } from "./reading.ts";
import { type Run, startRun } from "./run.ts";
import type { RunSpool } from "./runRecord.ts";
import { settingCheck } from "./settingCheck.ts";
import type { Armed, Word } from "./word.ts";

/** What a tester wants of each run. */
export type RunOrders = Readonly<{
  /** Where the attempt names no time of its own. */
  forS: number | null;
  stopAtC: number | null;
  meanings: ExitMeanings;
  progress: RegExp | null;
  wrong: RegExp | null;
}>;

/** The machine under test, as far as a run touches it. */
export type RunMachine = Readonly<{
  processors: number;
  /** Seconds, steadily; not counting sleep. */
  nowS(): number;
  sleptS(): number;
  memoryKills(): number | null;
  readings: MachineReader;
  startLoad: StartLoad;
  kernelWords: KernelWords;
}>;

type ArmedRunOf = Readonly<{
  armed: Armed;
  said: Word;
  expected: Expected;
  spool: RunSpool;
  wanted: RunOrders;
  machine: RunMachine;
  instant(): string;
}>;

/** Starts the load of what is armed. */
export function startArmed({ armed, said, expected, wanted, machine, ...of }: ArmedRunOf): Run {
  const { processors, readings, nowS, memoryKills, kernelWords } = machine;
  const { meanings, progress, wrong } = wanted;
  const { chip, last } = said;
  const plannedS = armed.plannedS ?? wanted.forS;
  const sleptBefore = machine.sleptS();
  return startRun({
    ...of,
    ...{ processors, readings, nowS, memoryKills, kernelWords },
    ...{ meanings, progress, wrong, plannedS, expected },
    load: machine.startLoad({ ...armed, plannedS }),
    workloadKind: armed.workloadKind,
    heat: heatLimits(chip, wanted.stopAtC),
    check: settingCheck({
      asked: chip.settingShows ? armed : unread,
      others: last === null ? [chip.stock] : [chip.stock, last],
      droopMv: expected.droopMv,
    }),
    sleptS: () => machine.sleptS() - sleptBefore,
  });
}

/** Of what no reading shows. */
const unread = { clockMhz: null, voltageMv: null };

/** A run ends before the limit, not at it. */
const belowLimitC = 3;

function heatLimits(chip: Word["chip"], stopAtC: number | null): StopLimits {
  const supply = chip.supplyTempLimitC === null ? {} : { supply: chip.supplyTempLimitC };
  const places = Object.entries({ ...supply, ...chip.limits });
  return {
    stopAtC: stopAtC ?? chip.tempLimitC - belowLimitC,
    places: Object.fromEntries(places.map(([place, limitC]) => [place, limitC - belowLimitC])),
  };
}
