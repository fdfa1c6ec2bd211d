import { type ReadBack, readBackOf } from "../bench/runs/settingRead.ts";
import { isCrash } from "../bench/things/outcome.ts";
import type { KernelWords } from "../kernel/kernelWords.ts";
import { type AfterDeathOf, leftInSpool } from "./afterDeath.ts";
import { wasCutOutTried } from "./cutOut.ts";
import { type Delivery, deliveryOf } from "./delivery.ts";
import { type EarlierAttempt, expectedOf } from "./earlier.ts";
import type { Ending, ExitMeanings } from "./ending.ts";
import type { StopLimits } from "./heatWatch.ts";
import { endsEvening, historyIn } from "./history.ts";
import { type LateWords, lateWords } from "./lateWords.ts";
import type { StartLoad } from "./load.ts";
import type { MachineReader, MachineReading } from "./reading.ts";
import { type Run, startRun } from "./run.ts";
import { beginSpool } from "./runRecord.ts";
import { settingCheck } from "./settingCheck.ts";
import type { SpoolDisk } from "./spoolDisk.ts";
import { isTaken, type Transport } from "./transport.ts";
import { type Armed, type Word, wordIn } from "./word.ts";

/** Of what no reading shows. */
const unread = { clockMhz: null, voltageMv: null };

/** What the tester told it on its command line. */
export type AttendantOrders = Readonly<{
  /** What is armed is run, and nothing afterwards. */
  once: boolean;
  /** Without a tap where the machine confirms that it is set as proposed. */
  evening: boolean;
  /** Where the attempt names no time of its own. */
  forS: number | null;
  settleS: number;
  stopAtC: number | null;
  meanings: ExitMeanings;
  progress: RegExp | null;
  wrong: RegExp | null;
  /** So many deaths within an hour end an evening; null where nobody counts. */
  mostDeaths: number | null;
}>;

/** The machine under test, as far as an attendant touches it. */
export type Machine = Readonly<{
  bootId: string;
  processors: number;
  /** Seconds, steadily; not counting sleep. */
  nowS(): number;
  sleptS(): number;
  memoryKills(): number | null;
  readings: MachineReader;
  startLoad: StartLoad;
  endOrphans: AfterDeathOf["endOrphans"];
  recordOfDeath: AfterDeathOf["recordOfDeath"];
  kernelWords: KernelWords;
}>;

export type AttendantOf = Readonly<{
  name: string;
  buildId: string;
  /** Where the journal is: a spool of another server is kept, and not sent to this one. */
  server: string;
  wanted: AttendantOrders;
  machine: Machine;
  disk: SpoolDisk;
  send: Transport;
  say(words: string): void;
}>;

export type Attendant = Readonly<{
  /** To be called once a second. */
  second(): void;
  /** Says that it is here and hears what is wanted; to be called at least once a second. */
  hail(): Promise<void>;
  /** Sends what there is to send. */
  deliver(): Promise<void>;
  /** Ends the run that goes on; the attendant is to leave once `isDone`. */
  leave(ending: Ending): void;
  /** True once there is nothing left to do: it has left, or its one run is over and told. */
  isDone(): boolean;
  isRunning(): boolean;
}>;

/** A run ends before the limit, not at it. */
const belowLimitC = 3;

export function attendantOf(of: AttendantOf): Attendant {
  const { machine, wanted, disk, send, say, buildId, name } = of;
  const history = historyIn(disk);
  const left = leftInSpool({
    ...{ disk, history, say, bootId: machine.bootId },
    endOrphans: machine.endOrphans,
    recordOfDeath: machine.recordOfDeath,
  });
  const here = left.filter(({ begun }) => begun.server === of.server);
  if (here.length < left.length) say("The spool holds runs for another server; they wait for it.");
  let deliveries: readonly Delivery[] = here.map(deliveryFor);
  const began = new Set(
    [...history.runs(), ...left.map(({ begun }) => begun)].map(({ attemptId }) => attemptId),
  );
  const startedS = machine.nowS();
  let word: Readonly<{ said: Word; atS: number }> | null = null;
  let run: Run | null = null;
  let [isHailing, isLeaving, isFreshBoot, runs] = [false, false, true, 0];
  let idle: MachineReading = machine.readings.read();
  let topClockMhz: number | null = null;
  let remark: string | null = null;
  let late: LateWords | null = null;

  function deliveryFor(spool: Parameters<typeof deliveryOf>[0]["spool"]): Delivery {
    return deliveryOf({ spool, send, say, bootId: machine.bootId });
  }

  /** By the server's clock, carried on by the machine's own since it was last heard. */
  const instant = (): string =>
    word === null
      ? new Date(0).toISOString()
      : new Date(Date.parse(word.said.now) + 1000 * (machine.nowS() - word.atS)).toISOString();

  const isSettled = (): boolean => machine.nowS() - startedS >= wanted.settleS;
  const eveningIsOver = (): boolean =>
    wanted.mostDeaths !== null && endsEvening(history.runs(), wanted.mostDeaths, instant());

  function second(): void {
    if (run !== null) {
      run.second();
      if (run.isOver()) afterRun(run);
      return;
    }
    late?.second();
    idle = machine.readings.read();
    if (idle.clockMhz !== null) topClockMhz = Math.max(topClockMhz ?? 0, idle.clockMhz);
  }

  function afterRun(over: Run): void {
    const ending = over.ending();
    history.add({ attemptId: over.attemptId, outcome: ending?.outcome ?? null, endedAt: instant() });
    if (ending !== null)
      say(`Ended: ${ending.outcome} after ${Math.round(over.elapsedS())} s. ${ending.because}`);
    for (const words of over.remarks()) say(words);
    late = lateWords({ attemptId: over.attemptId, output: over.output(), send, ...machine });
    runs += 1;
    [run, topClockMhz] = [null, null];
  }

  async function hail(): Promise<void> {
    if (isHailing) return;
    isHailing = true;
    await hailOnce().finally(() => {
      isHailing = false;
    });
  }

  async function hailOnce(): Promise<void> {
    const askedS = machine.nowS();
    const answered = await send({
      method: "PUT",
      path: `/api/attendants/${encodeURIComponent(name)}`,
      body: told(),
    }).catch(() => null);
    if (answered === null) return;
    if (!isTaken(answered)) {
      noteRemark(answered.body?.error?.message ?? null);
      return;
    }
    const said = wordIn(answered.body);
    if (said === null) return;
    noteRemark(null);
    // Half of the way there and back is as near as its clock can be known.
    word = { said, atS: (askedS + machine.nowS()) / 2 };
    if (run !== null) heedDuring(run, said);
    else await heed(said);
  }

  function noteRemark(words: string | null): void {
    if (words !== null && words !== remark) say(words);
    remark = words;
  }

  /** A run whose end was said on the page goes no further. */
  function heedDuring(current: Run, { armed }: Word): void {
    if (armed?.attemptId !== current.attemptId) current.stop(null);
  }

  async function heed(said: Word): Promise<void> {
    if (isLeaving || (wanted.once && runs > 0) || !isSettled()) return;
    try {
      if (said.armed !== null) await begin(said.armed, said);
      else await armByItself(said);
    } catch {
      // The server went away meanwhile; it is asked again.
    }
  }

  async function begin(armed: Armed, said: Word): Promise<void> {
    if (began.has(armed.attemptId)) return;
    if (armed.heardS !== null) {
      noteRemark("An attempt is armed that has run already, and not from here: say how it ended.");
      return;
    }
    const answered = await send({ method: "GET", path: `/api/builds/${buildId}/attempts?limit=200` });
    if (!isTaken(answered) || isLeaving) return;
    const earlier = (answered.body.items ?? []) as readonly EarlierAttempt[];
    const expected = expectedOf(earlier, armed);
    const spool = beginSpool(disk, {
      kind: "begun",
      attemptId: armed.attemptId,
      buildId,
      server: of.server,
      bootId: machine.bootId,
      startedAt: instant(),
      setting: { clockMhz: armed.clockMhz, voltageMv: armed.voltageMv },
    });
    // What is not on the disk before the load starts would be unknown after a death, and then run again.
    if (!spool.syncNow()) {
      noteRemark("The spool cannot be written, so nothing is started.");
      return;
    }
    began.add(armed.attemptId);
    deliveries = [...deliveries, deliveryFor(spool)];
    say(`Runs ${armed.workloadName}: ${armed.words}.`);
    const plannedS = armed.plannedS ?? wanted.forS;
    const sleptBefore = machine.sleptS();
    isFreshBoot = false;
    run = startRun({
      load: machine.startLoad({ ...armed, plannedS }),
      readings: machine.readings,
      spool,
      plannedS,
      workloadKind: armed.workloadKind,
      processors: machine.processors,
      expected,
      heat: heatLimits(said),
      meanings: wanted.meanings,
      progress: wanted.progress,
      wrong: wanted.wrong,
      check: settingCheck({
        asked: said.chip.settingShows ? armed : unread,
        others: othersOf(said),
        droopMv: expected.droopMv,
      }),
      nowS: machine.nowS,
      instant,
      sleptS: () => machine.sleptS() - sleptBefore,
      memoryKills: machine.memoryKills,
      kernelWords: machine.kernelWords,
    });
  }

  const heatLimits = ({ chip }: Word): StopLimits => {
    const supply = chip.supplyTempLimitC === null ? {} : { supply: chip.supplyTempLimitC };
    const places = Object.entries({ ...supply, ...chip.limits });
    return {
      stopAtC: wanted.stopAtC ?? chip.tempLimitC - belowLimitC,
      places: Object.fromEntries(places.map(([place, limitC]) => [place, limitC - belowLimitC])),
    };
  };

  const othersOf = ({ chip, last }: Word) => [chip.stock, ...(last === null ? [] : [last])];

  /** Without a tap: only where the machine confirms what somebody was told to set, and nothing died since. */
  async function armByItself({ proposed, last, ...said }: Word): Promise<void> {
    if (!wanted.evening || !isFreshBoot || eveningIsOver()) return;
    if (proposed === null || last === null || isCrash(last.outcome) || !said.chip.settingShows) return;
    const check = readBackOf({
      asked: proposed,
      read: { clockMhz: topClockMhz, voltageMv: null },
      others: [said.chip.stock, last],
      droopMv: null,
    });
    if (check.says !== "confirmed") return;
    const { clockMhz, voltageMv, workloadId, durationS, besides } = proposed;
    await send({
      method: "POST",
      path: `/api/builds/${buildId}/attempts`,
      body: {
        ...{ ...besides, clockMhz, voltageMv, workloadId },
        ...{ plannedS: wanted.forS ?? durationS, outcome: "running" },
      },
      key: `${machine.bootId}-${last.attemptId}-next`,
    });
  }

  function told() {
    const { tempC, powerW, voltageMv } = run?.latest() ?? idle;
    const clockMhz = run === null ? topClockMhz : run.latest().clockMhz;
    const check: ReadBack | null = run?.check() ?? null;
    return {
      buildId,
      bootId: machine.bootId,
      canRead: machine.readings.canRead,
      cannotRead: machine.readings.cannotRead,
      state: stateNow(),
      evening: wanted.evening && !eveningIsOver(),
      cutOutTried: wasCutOutTried(disk),
      reads: { tempC, clockMhz, powerW, voltageMv },
      ...(run !== null && {
        attemptId: run.attemptId,
        elapsedS: Math.round(run.elapsedS()),
        printing: run.printing(),
      }),
      ...(check !== null && { settingReadBack: check.says }),
      ...(remark !== null && { remark }),
    };
  }

  function stateNow(): "here" | "booted" | "running" | "leaving" {
    if (isLeaving) return "leaving";
    if (run !== null) return "running";
    return wanted.evening && isFreshBoot && isSettled() && !eveningIsOver() ? "booted" : "here";
  }

  return {
    second,
    hail,
    deliver: async () => {
      for (const delivery of deliveries) await delivery.pump();
      deliveries = deliveries.filter((one) => !one.isDone());
      if (deliveries.length === 0) await late?.deliver();
    },
    leave: (ending) => {
      isLeaving = true;
      run?.stop(ending);
    },
    isDone: () => run === null && (isLeaving || (wanted.once && runs > 0 && deliveries.length === 0)),
    isRunning: () => run !== null,
  };
}
