import type { WorkloadKind } from "../bench/things/workload.ts";
import { errorsSince } from "../kernel/errorCounts.ts";
import type { KernelWords } from "../kernel/kernelWords.ts";
import type { Expected } from "./earlier.ts";
import { type Ending, type ExitMeanings, endedAsAsked, endingOfExit, exitWords } from "./ending.ts";
import { heatWatch, type StopLimits } from "./heatWatch.ts";
import { type Load, newest, outputOf } from "./load.ts";
import { loadProof } from "./loadProof.ts";
import { type MachineReader, type MachineReading, traceRow } from "./reading.ts";
import type { RunSpool, SecondTold } from "./runRecord.ts";
import { medianReading, type SettingCheck } from "./settingCheck.ts";

export type RunOf = Readonly<{
  load: Load;
  readings: MachineReader;
  spool: RunSpool;
  /** Null where it runs until it is stopped. */
  plannedS: number | null;
  workloadKind: WorkloadKind;
  processors: number;
  expected: Expected;
  heat: StopLimits;
  meanings: ExitMeanings;
  progress: RegExp | null;
  wrong: RegExp | null;
  check: SettingCheck;
  /** Seconds, steadily. */
  nowS(): number;
  /** By the server's clock, as far as it is known. */
  instant(): string;
  /** Seconds this machine has slept since the run began. */
  sleptS(): number;
  memoryKills(): number | null;
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

/** Asked to end at the planned time, a load may take so long for its last check. */
const lastCheckS = 30;
const killAfterS = 10;
const threadsEveryS = 10;
const kernelEveryS = 10;
/** A spool must not grow without end where a load prints without end. */
const mostPrinted = 2048;
const mostPrinting = 2000;
const sleptTooLongS = 2;

export function startRun(of: RunOf): Run {
  const { load, spool, plannedS } = of;
  const startedS = of.nowS();
  const output = outputOf();
  const watch = heatWatch(of.heat);
  const first = of.readings.read();
  const killsBefore = of.memoryKills();
  const proof = loadProof({
    kind: of.workloadKind,
    processors: of.processors,
    expected: of.expected,
    wantsProgress: of.progress !== null,
  });
  let [seq, peakC, progressedAtS, lastProgress] = [0, null as number | null, null as number | null, ""];
  let [threads, threadsAtS] = [load.threads(), 0];
  let latest = first;
  let [askedAtS, endedAtS] = [null as number | null, null as number | null];
  let ending: Ending | null = null;
  let [isTold, isSaid] = [false, false];
  let wasProved = false;
  let kernelAskedS = 0;

  const elapsedS = (): number => Math.max(0, of.nowS() - startedS);

  function second(): void {
    if (isTold) {
      finish();
      return;
    }
    const t = rounded(elapsedS());
    latest = of.readings.read();
    if (latest.tempC !== null) peakC = Math.max(peakC ?? latest.tempC, latest.tempC);
    const printed = load.printed();
    const exit = load.exit();
    const found = endingNow(t, printed, exit);
    of.check.look(t, latest);
    if (t - kernelAskedS >= kernelEveryS) noteKernel(t);
    tell(t, printed);
    const ended = found ?? settingLost(of.check.latest());
    if (ended !== null) {
      close(ended, t);
      return;
    }
    if (plannedS !== null && askedAtS === null && t >= plannedS) {
      askedAtS = t;
      load.ask();
    }
  }

  /** The first of the things that end a run; a wrong line before all others. */
  function endingNow(t: number, printed: string, exit: ReturnType<Load["exit"]>): Ending | null {
    const lines = output.lines(printed, exit !== null);
    const wrongLine = of.wrong === null ? undefined : lines.find((line) => of.wrong?.test(line));
    if (wrongLine !== undefined)
      return { outcome: "wrong-result", because: `The load printed “${wrongLine.slice(0, 200)}”.` };
    noteProgress(t, lines);
    if (of.sleptS() > sleptTooLongS) return { outcome: "disturbed", because: "The machine slept meanwhile." };
    const hot = watch(t, latest);
    if (hot !== null) return hot;
    if (askedAtS !== null) return endingOfAsked(t, exit);
    if (exit !== null)
      return endingOfExit({
        exit,
        ranS: t,
        hasWorked: of.expected.hasWorked || wasProved,
        memoryRanOut: (of.memoryKills() ?? 0) > (killsBefore ?? Number.POSITIVE_INFINITY),
        meanings: of.meanings,
      });
    if (t - threadsAtS >= threadsEveryS) [threads, threadsAtS] = [load.threads(), t];
    const stalled = proof.look({ t, threads, reading: latest, progressedAtS });
    wasProved ||= proof.isProved();
    return stalled;
  }

  function noteKernel(t: number): void {
    kernelAskedS = t;
    for (const line of of.kernelWords()) output.note(`— at ${Math.round(t)} s the kernel said: ${line}`);
  }

  /** At another setting than the one asked for, whatever happens is evidence of nothing that is known. */
  function settingLost(check: ReturnType<SettingCheck["latest"]>): Ending | null {
    if (check?.says !== "differs") return null;
    return { outcome: "setting-lost", because: check.because };
  }

  function noteProgress(t: number, lines: readonly string[]): void {
    const { progress } = of;
    if (progress === null) return;
    const last = lines.findLast((line) => progress.test(line));
    // A number in brackets that stays the same is no new work; without brackets the line itself is.
    const said = last === undefined ? undefined : (progress.exec(last)?.[1] ?? `${last} ${t}`);
    if (said === undefined || said === lastProgress) return;
    [progressedAtS, lastProgress] = [t, said];
  }

  /** After it was asked to end: its exit, its last words, and whether it was proved. */
  function endingOfAsked(t: number, exit: ReturnType<Load["exit"]>): Ending | null {
    if (exit === null && t - (askedAtS ?? t) < lastCheckS) return null;
    const said = exit !== null && "code" in exit ? of.meanings.get(exit.code) : undefined;
    if (said !== undefined && exit !== null)
      return { outcome: said, because: `Asked to end, the load gave ${exitWords(exit)}.` };
    if (exit !== null && !endedAsAsked(exit)) {
      const told = endingOfExit({
        exit,
        ranS: t,
        hasWorked: true,
        memoryRanOut: false,
        meanings: of.meanings,
      });
      return told.outcome === "app-closed"
        ? told
        : { outcome: "stopped", because: `Asked to end, the load gave ${exitWords(exit)}; that is no pass.` };
    }
    if (!proof.isProved())
      return {
        outcome: "stopped",
        because: `It ran its time, but was not proved to load: ${proof.because()}`,
      };
    return { outcome: "pass", because: "It ran its time." };
  }

  function tell(t: number, printed: string): void {
    const corrected = errorsSince(first.corrected, latest.corrected);
    spool.add({
      kind: "second",
      seq: ++seq,
      t,
      beat: beatOf(latest, corrected),
      row: traceRow(latest),
      ...(printed !== "" && { printed: printed.slice(-mostPrinted) }),
    });
    spool.sync();
  }

  function close(found: Ending | null, t: number): void {
    noteKernel(t);
    ending = found;
    endedAtS = t;
    isSaid = found === null;
    spool.add({
      kind: "end",
      outcome: found?.outcome ?? null,
      durationS: found?.outcome === "pass" ? Math.max(plannedS ?? t, 0) : t,
      endedAt: of.instant(),
      fields: fieldsTold(),
    });
    spool.sync();
    isTold = true;
    load.ask();
    finish();
  }

  function fieldsTold(): Record<string, unknown> {
    const corrected = errorsSince(first.corrected, latest.corrected);
    const check = of.check.latest();
    return {
      loadProved: wasProved && proof.isProved(),
      settingReadBack: check?.says ?? "cannot-tell",
      output: outputTold(),
      ...(first.tempC !== null && { startTempC: first.tempC }),
      ...(peakC !== null && { peakTempC: peakC }),
      ...medianReading(of.check),
      ...(Object.keys(corrected).length > 0 && { correctedErrorsAt: corrected }),
      bootId: spool.begun.bootId,
    };
  }

  const outputTold = (): string =>
    newest([output.kept(), ending === null ? "" : `— ${ending.because}`].filter(Boolean).join("\n"));

  /** Until nothing of the load is left. */
  function finish(): void {
    if (load.isGone()) return;
    const waited = of.nowS() - startedS - (endedAtS ?? 0);
    if (waited >= killAfterS) load.kill();
  }

  function stop(wanted: Ending | null): void {
    if (!isTold) close(wanted, rounded(elapsedS()));
  }

  return {
    attemptId: spool.begun.attemptId,
    second,
    stop,
    elapsedS,
    latest: () => latest,
    check: of.check.latest,
    ending: () => ending,
    isOver: () => isTold && load.isGone(),
    printing: () => output.kept().slice(-mostPrinting),
    output: outputTold,
    remarks: () => {
      const left = load.isGone() ? load.escaped() : [];
      return [
        ...(isSaid ? ["Its end was said on the page."] : []),
        ...(left.length > 0 ? [`Processes of the load left its group and go on: ${left.join(", ")}.`] : []),
      ];
    },
  };
}

const rounded = (seconds: number): number => Math.round(seconds * 10) / 10;

function beatOf(
  { tempC, powerW, voltageMv, clockMhz }: MachineReading,
  corrected: ReturnType<typeof errorsSince>,
): SecondTold["beat"] {
  return {
    ...(tempC !== null && { tempC }),
    ...(powerW !== null && { powerW }),
    ...(voltageMv !== null && { loadVoltageMv: voltageMv }),
    ...(clockMhz !== null && { clockMhz }),
    ...(Object.keys(corrected).length > 0 && { correctedErrors: corrected }),
  };
}
