import { type AfterDeathOf, leftInSpool } from "./afterDeath.ts";
import { type RunMachine, type RunOrders, startArmed } from "./armedRun.ts";
import { wasCutOutTried } from "./cutOut.ts";
import { type Delivery, deliveryOf } from "./delivery.ts";
import { type EarlierAttempt, expectedOf } from "./earlier.ts";
import type { Ending } from "./ending.ts";
import { endsEvening, selfArmed } from "./evening.ts";
import { historyIn } from "./history.ts";
import { type LateWords, lateWords } from "./lateWords.ts";
import type { Run } from "./run.ts";
import { beginSpool, type RunSpool } from "./runRecord.ts";
import { serverHeard } from "./serverHeard.ts";
import type { SpoolDisk } from "./spoolDisk.ts";
import { isTaken, type Transport } from "./transport.ts";
import type { Armed, Word } from "./word.ts";

/** What the tester told it on its command line. */
export type AttendantOrders = RunOrders &
  Readonly<{
    /** What is armed is run, and nothing afterwards. */
    once: boolean;
    /** Without a tap where the machine confirms that it is set as proposed. */
    evening: boolean;
    settleS: number;
    /** So many deaths within an hour end an evening; null where nobody counts. */
    mostDeaths: number | null;
  }>;

/** The machine under test, as far as an attendant touches it. */
export type Machine = RunMachine &
  Readonly<{
    bootId: string;
    endOrphans: AfterDeathOf["endOrphans"];
    recordOfDeath: AfterDeathOf["recordOfDeath"];
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

export function attendantOf(of: AttendantOf): Attendant {
  const { machine, wanted, disk, send, say, buildId, name } = of;
  const { nowS, bootId, readings } = machine;
  const history = historyIn(disk);
  const left = leftInSpool({ ...machine, disk, history, say });
  const here = left.filter(({ begun }) => begun.server === of.server);
  if (here.length < left.length) say("The spool holds runs for another server; they wait for it.");
  const began = new Set([...history.runs(), ...left.map(({ begun }) => begun)].map((one) => one.attemptId));
  const server = serverHeard({ name, send, nowS, remark: note });
  const startedS = nowS();
  let deliveries: readonly Delivery[] = here.map(deliveryFor);
  let run: Run | null = null;
  let [isHailing, isLeaving, isFreshBoot, runs] = [false, false, true, 0];
  let idle = readings.read();
  let topClockMhz: number | null = null;
  let remark: string | null = null;
  let late: LateWords | null = null;

  function deliveryFor(spool: RunSpool): Delivery {
    return deliveryOf({ spool, send, say, bootId });
  }

  function note(words: string | null): void {
    if (words !== null && words !== remark) say(words);
    remark = words;
  }

  const isSettled = (): boolean => nowS() - startedS >= wanted.settleS;
  const isDoneOnce = (): boolean => wanted.once && runs > 0;
  const isEvening = (): boolean =>
    wanted.evening &&
    !(wanted.mostDeaths !== null && endsEvening(history.runs(), wanted.mostDeaths, server.instant()));

  function second(): void {
    if (run !== null) {
      run.second();
      if (run.isOver()) afterRun(run);
      return;
    }
    late?.second();
    idle = readings.read();
    if (idle.clockMhz !== null) topClockMhz = Math.max(topClockMhz ?? 0, idle.clockMhz);
  }

  function afterRun(over: Run): void {
    const { attemptId } = over;
    const ending = over.ending();
    history.add({ attemptId, outcome: ending?.outcome ?? null, endedAt: server.instant() });
    if (ending !== null)
      say(`Ended: ${ending.outcome} after ${Math.round(over.elapsedS())} s. ${ending.because}`);
    for (const words of over.remarks()) say(words);
    late = lateWords({ ...machine, attemptId, output: over.output(), send });
    runs += 1;
    [run, topClockMhz] = [null, null];
  }

  async function hail(): Promise<void> {
    if (isHailing) return;
    isHailing = true;
    try {
      const said = await server.hail(told());
      if (said !== null) await heed(said);
    } finally {
      isHailing = false;
    }
  }

  async function heed(said: Word): Promise<void> {
    if (run !== null) {
      // A run whose end was said on the page goes no further.
      if (said.armed?.attemptId !== run.attemptId) run.stop(null);
      return;
    }
    if (isLeaving || isDoneOnce() || !isSettled()) return;
    try {
      if (said.armed !== null) await begin(said.armed, said);
      else if (isFreshBoot && isEvening()) await armByItself(said);
    } catch {
      // The server went away meanwhile; it is asked again.
    }
  }

  async function begin(armed: Armed, said: Word): Promise<void> {
    if (began.has(armed.attemptId)) return;
    if (armed.heardS !== null) {
      note("An attempt is armed that has run already, and not from here: say how it ended.");
      return;
    }
    const answered = await send({ method: "GET", path: `/api/builds/${buildId}/attempts?limit=200` });
    if (!isTaken(answered) || isLeaving) return;
    const expected = expectedOf((answered.body.items ?? []) as readonly EarlierAttempt[], armed);
    const spool = beginSpool(disk, {
      kind: "begun",
      attemptId: armed.attemptId,
      ...{ buildId, bootId, server: of.server },
      startedAt: server.instant(),
      setting: { clockMhz: armed.clockMhz, voltageMv: armed.voltageMv },
    });
    // What is not on the disk before the load starts would be unknown after a death, and then run again.
    if (!spool.syncNow()) {
      note("The spool cannot be written, so nothing is started.");
      return;
    }
    began.add(armed.attemptId);
    deliveries = [...deliveries, deliveryFor(spool)];
    say(`Runs ${armed.workloadName}: ${armed.words}.`);
    isFreshBoot = false;
    run = startArmed({ armed, said, expected, spool, wanted, machine, instant: server.instant });
  }

  async function armByItself(said: Word): Promise<void> {
    const found = selfArmed(said, topClockMhz, wanted.forS);
    if (found === null) return;
    await send({
      method: "POST",
      path: `/api/builds/${buildId}/attempts`,
      body: found.attempt,
      key: `${bootId}-${found.afterId}-next`,
    });
  }

  function told() {
    const { tempC, powerW, voltageMv, clockMhz } = run?.latest() ?? { ...idle, clockMhz: topClockMhz };
    const check = run?.check() ?? null;
    return {
      ...{ buildId, bootId, canRead: readings.canRead, cannotRead: readings.cannotRead },
      state: stateNow(),
      evening: isEvening(),
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
    return isFreshBoot && isSettled() && isEvening() ? "booted" : "here";
  }

  async function deliver(): Promise<void> {
    for (const delivery of deliveries) await delivery.pump();
    deliveries = deliveries.filter((one) => !one.isDone());
    if (deliveries.length === 0) await late?.deliver();
  }

  return {
    ...{ second, hail, deliver },
    leave: (ending) => {
      isLeaving = true;
      run?.stop(ending);
    },
    isDone: () => run === null && (isLeaving || (isDoneOnce() && deliveries.length === 0)),
    isRunning: () => run !== null,
  };
}
