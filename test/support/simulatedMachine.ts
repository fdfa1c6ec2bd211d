import {
  type Attendant,
  type AttendantOrders,
  attendantOf,
  type Machine,
} from "../../server/attend/attendant.ts";
import type { Exit } from "../../server/attend/ending.ts";
import type { Load, StartLoad } from "../../server/attend/load.ts";
import { type MachineReading, nothingRead } from "../../server/attend/reading.ts";
import type { SpoolDisk } from "../../server/attend/spoolDisk.ts";
import type { Answered, Sending, Transport } from "../../server/attend/transport.ts";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import type { PlainServer } from "./plainServer.ts";

/** A disk that keeps through a power cut what was synced, and of the rest a random beginning, or nothing. */
function simulatedDisk() {
  const files = new Map<string, { text: string; safe: number; syncing: number | null }>();
  const counts = { syncs: 0 };
  const file = (name: string) => {
    const found = files.get(name) ?? { text: "", safe: 0, syncing: null };
    files.set(name, found);
    return found;
  };
  const disk: SpoolDisk = {
    names: () => [...files.keys()],
    read: (name) => files.get(name)?.text ?? null,
    append: (name, text) => {
      file(name).text += text;
    },
    syncNow: (name) => {
      const one = file(name);
      one.safe = one.text.length;
      one.syncing = null;
      return true;
    },
    sync: (name) => {
      const one = file(name);
      one.syncing ??= one.text.length;
      counts.syncs += 1;
    },
    remove: (name) => void files.delete(name),
    rename: (name, other) => {
      files.set(other, file(name));
      files.delete(name);
    },
  };
  return {
    disk,
    counts,
    /** What was on its way to the disk arrives. */
    settle: (): void => {
      for (const one of files.values()) {
        one.safe = Math.max(one.safe, one.syncing ?? 0);
        one.syncing = null;
      }
    },
    powerCut: (random: SeededRandom): void => {
      for (const [name, one] of files) {
        const kept = one.safe + random.index(one.text.length - one.safe + 1);
        // A name that was never synced may be gone with what it held.
        if (one.safe === 0) files.delete(name);
        else files.set(name, { text: one.text.slice(0, kept), safe: kept, syncing: null });
      }
    },
  };
}

/** A load as the test has it behave: what it prints, keeps busy and ends with at each second it has run. */
export type LoadBehaviour = Readonly<{
  threads?: number;
  /** The share of each thread that it keeps busy at a second. */
  busy?(s: number): number;
  /** How many of its threads work at a second. */
  working?(s: number): number;
  prints?(s: number): string;
  /** How it ends by itself; null while it goes on. */
  ends?(s: number): Exit | null;
  /** How it answers to being asked to end, and after how long. */
  asked?: Readonly<{ exit: Exit; afterS: number }>;
}>;

export type SimulatedOf = Readonly<{
  server: PlainServer;
  buildId: string;
  random: SeededRandom;
  wanted?: Partial<AttendantOrders>;
  /** Readings at a second of the machine, with how long the load has run. */
  reads?(loadedS: number | null): Partial<MachineReading>;
  behaviour?: LoadBehaviour;
  processors?: number;
  kernelWords?(): readonly string[];
  name?: string;
}>;

const usualWanted: AttendantOrders = {
  once: false,
  evening: false,
  forS: null,
  settleS: 0,
  stopAtC: null,
  meanings: new Map(),
  progress: null,
  wrong: null,
  mostDeaths: 3,
};

/** A machine under test that can die and start again, its attendant, and a network that can be cut; time is the test's. */
export function simulatedMachine(of: SimulatedOf) {
  const storage = simulatedDisk();
  const said: string[] = [];
  let behaviour = of.behaviour ?? {};
  let [boot, machineS] = [1, 0];
  let load: (Load & { startedS: number }) | null = null;
  let starts = 0;
  let reachable = true;
  let dropAnswers = 0;
  const sent: Sending[] = [];

  const send: Transport = async (one) => {
    if (!reachable) throw new Error("unreachable");
    sent.push(one);
    const answered = await injected(of.server, one);
    // The server has done it, and its answer is lost.
    if (dropAnswers > 0) {
      dropAnswers -= 1;
      throw new Error("The answer was lost.");
    }
    return answered;
  };

  const readings = (): MachineReading => ({
    ...nothingRead,
    ...(of.reads ?? warming)(load && load.exit() === null ? machineS - load.startedS : null),
  });

  const startLoad: StartLoad = () => {
    starts += 1;
    load = simulatedLoad(() => machineS, behaviour);
    return load;
  };

  const machine = (): Machine => ({
    bootId: `boot-${boot}`,
    processors: of.processors ?? 4,
    nowS: () => machineS,
    sleptS: () => 0,
    memoryKills: () => null,
    readings: { canRead: ["temperature: made"], cannotRead: [], read: readings },
    startLoad,
    endOrphans: () => {
      const left = load !== null && !load.isGone() ? 1 : 0;
      load?.kill();
      return left;
    },
    recordOfDeath: () => null,
    kernelWords: of.kernelWords ?? (() => []),
  });

  const attend = (): Attendant =>
    attendantOf({
      name: of.name ?? "bench-2",
      buildId: of.buildId,
      server: "http://journal",
      wanted: { ...usualWanted, ...of.wanted },
      machine: machine(),
      disk: storage.disk,
      send,
      say: (words) => void said.push(words),
    });

  let attendant: Attendant | null = attend();

  return {
    said,
    sent,
    storage,
    starts: () => starts,
    load: () => load,
    attendant: () => attendant,
    behave: (next: LoadBehaviour): void => {
      behaviour = next;
    },
    reach: (is: boolean): void => {
      reachable = is;
    },
    loseAnswers: (count: number): void => {
      dropAnswers = count;
    },
    /** One second of everybody's time. */
    async second(): Promise<void> {
      of.server.pass(1);
      machineS += 1;
      storage.settle();
      attendant?.second();
      await attendant?.deliver();
      await attendant?.hail();
    },
    /**
     * The whole machine goes dark at some moment of its next second: before or after it has read, sent or heard. What had
     * not reached the disk is gone. Gives how long the load had run.
     */
    async dieWithin(): Promise<number> {
      of.server.pass(1);
      const [moment, partS] = [of.random.index(4), of.random.uniform()];
      const ranS = machineS - (load?.startedS ?? machineS);
      if (moment > 0) {
        machineS += partS;
        if (of.random.uniform() < 0.7) storage.settle();
        attendant?.second();
      }
      if (moment > 1) await attendant?.deliver();
      if (moment > 2) await attendant?.hail();
      storage.powerCut(of.random);
      [attendant, load] = [null, null];
      return ranS + partS;
    },
    /** The attendant alone is ended; its load goes on. */
    killAttendant(): void {
      attendant = null;
    },
    /** Starts anew, with the attendant as a service. */
    start(kind: "machine" | "attendant"): void {
      if (kind === "machine") boot += 1;
      attendant = attend();
    },
  };
}

export type SimulatedMachine = ReturnType<typeof simulatedMachine>;

const warming = (loadedS: number | null): Partial<MachineReading> => ({
  tempC:
    loadedS === null
      ? 40
      : Math.round((40 + 30 * (1 - Math.exp(-loadedS / 30))) * 10) / 10 + (loadedS % 2) / 10,
  powerW: loadedS === null ? 20 : 120,
});

export function simulatedLoad(nowS: () => number, behaviour: LoadBehaviour): Load & { startedS: number } {
  const startedS = nowS();
  const {
    threads = 4,
    busy = () => 1,
    working = () => threads,
    prints = () => "",
    ends = () => null,
  } = behaviour;
  const asked = behaviour.asked ?? { exit: { signal: "SIGTERM" }, afterS: 1 };
  let [askedAtS, killedAtS, printedTo] = [null as number | null, null as number | null, 0];
  const ranS = () => nowS() - startedS;
  const exit = (): Exit | null => {
    if (killedAtS !== null) return { signal: "SIGKILL" };
    const own = ends(ranS());
    if (own !== null) return own;
    return askedAtS !== null && ranS() - askedAtS >= asked.afterS ? asked.exit : null;
  };
  return {
    startedS,
    exit,
    printed: () => {
      let text = "";
      for (; printedTo <= ranS(); printedTo++) text += prints(printedTo);
      return text;
    },
    threads: () =>
      new Map(
        Array.from({ length: threads }, (_, thread) => {
          let cpuS = 0;
          for (let s = 0; s < ranS(); s++) if (thread < working(s)) cpuS += busy(s);
          return [thread + 1, cpuS] as const;
        }),
      ),
    ask: () => {
      askedAtS ??= ranS();
    },
    kill: () => {
      killedAtS ??= ranS();
    },
    isGone: () => exit() !== null,
    escaped: () => [],
  };
}

async function injected(
  { app }: PlainServer,
  { method, path, body, lines, key }: Sending,
): Promise<Answered> {
  const reply = await app.inject({
    method,
    url: path,
    headers: {
      ...(key !== undefined && { "idempotency-key": key }),
      ...(lines !== undefined && { "content-type": "application/x-ndjson" }),
    },
    ...(lines !== undefined
      ? { payload: lines.map((line) => `${JSON.stringify(line)}\n`).join("") }
      : body === undefined
        ? {}
        : { payload: body as object }),
  });
  return { status: reply.statusCode, body: reply.body === "" ? null : reply.json() };
}
