import type { KernelWords } from "../kernel/kernelWords.ts";
import type { Ending } from "./ending.ts";
import { type EndWatchOf, endWatch } from "./endWatch.ts";
import { newest, outputOf } from "./load.ts";
import type { MachineReader, MachineReading } from "./reading.ts";
import type { RunSpool } from "./runRecord.ts";
import { runEndTold, runSecondTold } from "./runTold.ts";
import type { SettingCheck } from "./settingCheck.ts";

export type RunOf = EndWatchOf &
  Readonly<{
    readings: MachineReader;
    spool: RunSpool;
    /** Null where it runs until it is stopped. */
    plannedS: number | null;
    check: SettingCheck;
    /** Seconds, steadily. */
    nowS(): number;
    /** By the server's clock, as far as it is known. */
    instant(): string;
    kernelWords: KernelWords;
  }>;

export type Run = Readonly<{
  attemptId: string;
  /** To be called once a second. */
  second(): void;
  /** Ends it for a reason of somebody else's; null where its end has been said. */
  stop(ending: Ending | null): void;
  elapsedS(): number;
  latest(): MachineReading;
  /** What the last readings of the load say of the setting; null before they can say anything. */
  check(): ReturnType<SettingCheck["latest"]>;
  /** Null while it is not known yet. */
  ending(): Ending | null;
  /** True once its end is told and nothing of the load is left. */
  isOver(): boolean;
  /** The newest of what the load printed. */
  printing(): string;
  /** What is told of it as its output. */
  output(): string;
  /** Things worth saying that no field holds. */
  remarks(): readonly string[];
}>;

const killAfterS = 10;
const kernelEveryS = 10;
const mostPrinting = 2000;

export function startRun(of: RunOf): Run {
  const { load, spool, plannedS, check } = of;
  const { attemptId, bootId } = spool.begun;
  const startedS = of.nowS();
  const output = outputOf();
  const first = of.readings.read();
  const ends = endWatch(of);
  let latest = first;
  let [seq, kernelAskedS, peakC] = [0, 0, null as number | null];
  let askedAtS: number | null = null;
  /** Null while it goes on; its ending is null where somebody else has said it. */
  let end: Readonly<{ ending: Ending | null; atS: number }> | null = null;

  const elapsedS = (): number => Math.max(0, of.nowS() - startedS);

  function second(): void {
    if (end !== null) {
      clearAway(end.atS);
      return;
    }
    const t = rounded(elapsedS());
    latest = of.readings.read();
    if (latest.tempC !== null) peakC = Math.max(peakC ?? latest.tempC, latest.tempC);
    const [printed, exit] = [load.printed(), load.exit()];
    const lines = output.lines(printed, exit !== null);
    const found = ends.look({ t, reading: latest, lines, exit, askedAtS });
    check.look(t, latest);
    if (t - kernelAskedS >= kernelEveryS) noteKernel(t);
    spool.add(runSecondTold({ seq: ++seq, t, printed, first, latest }));
    spool.sync();
    const ending = found ?? settingLost(check.latest());
    if (ending !== null) close(ending, t);
    else if (plannedS !== null && askedAtS === null && t >= plannedS) {
      askedAtS = t;
      load.ask();
    }
  }

  function noteKernel(t: number): void {
    kernelAskedS = t;
    for (const line of of.kernelWords()) output.note(`— at ${Math.round(t)} s the kernel said: ${line}`);
  }

  function close(ending: Ending | null, t: number): void {
    noteKernel(t);
    end = { ending, atS: t };
    spool.add(
      runEndTold({
        ...{ ending, t, plannedS, first, latest, peakC, check, bootId },
        endedAt: of.instant(),
        isProved: ends.isProved(),
        output: outputTold(),
      }),
    );
    spool.sync();
    load.ask();
    clearAway(t);
  }

  const outputTold = (): string =>
    newest([output.kept(), end?.ending ? `— ${end.ending.because}` : ""].filter(Boolean).join("\n"));

  /** Until nothing of the load is left. */
  function clearAway(endedAtS: number): void {
    if (!load.isGone() && of.nowS() - startedS - endedAtS >= killAfterS) load.kill();
  }

  return {
    attemptId,
    second,
    stop: (ending) => {
      if (end === null) close(ending, rounded(elapsedS()));
    },
    elapsedS,
    latest: () => latest,
    check: check.latest,
    ending: () => end?.ending ?? null,
    isOver: () => end !== null && load.isGone(),
    printing: () => output.kept().slice(-mostPrinting),
    output: outputTold,
    remarks: () => {
      const left = load.isGone() ? load.escaped() : [];
      return [
        ...(end !== null && end.ending === null ? ["Its end was said on the page."] : []),
        ...(left.length > 0 ? [`Processes of the load left its group and go on: ${left.join(", ")}.`] : []),
      ];
    },
  };
}

const rounded = (seconds: number): number => Math.round(seconds * 10) / 10;

/** At another setting than the one asked for, whatever happens is evidence of nothing that is known. */
const settingLost = (check: ReturnType<SettingCheck["latest"]>): Ending | null =>
  check?.says === "differs" ? { outcome: "setting-lost", because: check.because } : null;
