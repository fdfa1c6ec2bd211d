import { type Attendant, type AttendantOrders, attendantOf } from "../attend/attendant.ts";
import { memoryDisk } from "../attend/memoryDisk.ts";
import { spoolNames } from "../attend/runRecord.ts";
import type { Transport } from "../attend/transport.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";
import { type AttendingMachine, attendingMachine } from "./attendingMachine.ts";
import type { SimulatedBench, SimulatedSetting } from "./simulatedBench.ts";

export type AttendingEveningOf = Readonly<{
  bench: SimulatedBench;
  stock: SimulatedSetting;
  random: SeededRandom;
  /** Seconds of the machine, however fast they pass. */
  nowS(): number;
  name: string;
  buildId: string;
  send: Transport;
  /** What somebody sets in its firmware before it starts anew; null where nobody has decided yet. */
  hands(): Promise<SimulatedSetting | null>;
}>;

/** An invented machine with hands to set it: it attends a build, dies at times, and is set and started anew after each run. */
export type AttendingEvening = Readonly<{
  /** To be called again and again; does what the time that has passed asks for. */
  tick(): Promise<void>;
}>;

/** Seconds of the machine: dark after a death or for a restart, and how long hands take to decide. */
const darkS = 90;
const restartS = 60;

const wanted: AttendantOrders = {
  once: false,
  evening: true,
  forS: null,
  settleS: 30,
  stopAtC: null,
  meanings: new Map([[1, "wrong-result"]]),
  progress: null,
  wrong: null,
  // An hour of the server's is no hour of this machine's.
  mostDeaths: null,
};

export function attendingEvening(of: AttendingEveningOf): AttendingEvening {
  const disk = memoryDisk();
  let boot = 0;
  let on: Readonly<{
    attendant: Attendant;
    machine: AttendingMachine;
    setting: SimulatedSetting;
    hasRun(): boolean;
  }> | null = null;
  let darkUntilS = 0;
  let isBusy = false;

  const attendantWith = (machine: AttendingMachine, isEvening: boolean): Attendant =>
    attendantOf({
      ...{ name: of.name, buildId: of.buildId, server: "invented", disk, send: of.send },
      ...{ wanted: { ...wanted, evening: isEvening }, machine: machine.machine, say: () => undefined },
    });

  /** After a death it comes up at its defaults and says what happened; only then somebody decides what to set. */
  async function tellsOfDeath(): Promise<boolean> {
    if (spoolNames(disk).length === 0) return true;
    boot += 1;
    const attendant = attendantWith(attendingMachine(of, boot, of.stock), false);
    await attendant.hail();
    await attendant.deliver();
    if (spoolNames(disk).length === 0) darkUntilS = of.nowS() + restartS;
    return false;
  }

  async function start(): Promise<void> {
    if (!(await tellsOfDeath())) return;
    const setting = await of.hands();
    if (setting === null) return;
    boot += 1;
    const machine = attendingMachine(of, boot, setting);
    const attendant = attendantWith(machine, true);
    let began = false;
    const hasRun = (): boolean => {
      if (attendant.isRunning()) began = true;
      return began && !attendant.isRunning();
    };
    on = { attendant, machine, setting, hasRun };
  }

  async function second(): Promise<void> {
    if (on === null) {
      if (of.nowS() >= darkUntilS) await start();
      return;
    }
    const { attendant, machine, setting } = on;
    if (machine.hasDied()) {
      [on, darkUntilS] = [null, of.nowS() + darkS];
      return;
    }
    attendant.second();
    await attendant.deliver();
    await attendant.hail();
    if (on.hasRun()) {
      await attendant.deliver();
      [on, darkUntilS] = [null, of.nowS() + restartS];
    } else if (machine.at !== setting && (await isAskedAnew(of, setting))) {
      [on, darkUntilS] = [null, of.nowS() + restartS];
    }
  }

  return {
    tick: async () => {
      if (isBusy) return;
      isBusy = true;
      await second()
        .catch(() => undefined)
        .finally(() => {
          isBusy = false;
        });
    },
  };
}

/** A machine that fell back is set anew once somebody has said so, and something else is asked for. */
async function isAskedAnew({ hands }: AttendingEveningOf, at: SimulatedSetting): Promise<boolean> {
  const next = await hands();
  return next !== null && (next.clockMhz !== at.clockMhz || next.voltageMv !== at.voltageMv);
}
