import type { AttendantOrders } from "../../server/attend/attendant.ts";
import type { MachineReading } from "../../server/attend/reading.ts";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";
import type { LoadBehaviour } from "../support/simulatedMachine.ts";
import { attendedBench, untilEnded } from "./attendedBench.ts";

type Trick = Readonly<{
  name: string;
  may: readonly string[];
  wanted?: Partial<AttendantOrders>;
  behaviour(atS: number): LoadBehaviour;
  reads?(atS: number): (loadedS: number | null) => Partial<MachineReading>;
}>;

/** Loads that do not do their work, each from a second on. */
const tricks: readonly Trick[] = [
  {
    name: "sleeps",
    may: ["load-stalled", "stopped"],
    behaviour: (at) => ({ busy: (s) => (s < at ? 1 : 0.01) }),
  },
  {
    name: "loops without work",
    may: ["load-stalled", "stopped"],
    behaviour: () => ({}),
    reads: (at) => (s) => ({ tempC: 45 + ((s ?? 0) % 5) / 10, powerW: s === null ? 20 : s < at ? 118 : 61 }),
  },
  {
    name: "prints no new work",
    may: ["load-stalled", "stopped"],
    wanted: { progress: /block (\d+)/ },
    behaviour: (at) => ({ prints: (s) => `block ${Math.min(s, at)}\n` }),
  },
  {
    name: "prints a wrong line and exits 0",
    may: ["wrong-result"],
    wanted: { wrong: /mismatch/ },
    behaviour: (at) => ({
      prints: (s) => (s === at ? "a mismatch\n" : ""),
      ends: (s) => (s > at ? { code: 0 } : null),
    }),
  },
  {
    name: "says at its last check that it was wrong",
    may: ["wrong-result"],
    wanted: { meanings: new Map([[3, "wrong-result"]]) },
    behaviour: (at) => ({ asked: { exit: { code: 3 }, afterS: 1 + (at % 20) } }),
  },
  {
    name: "falls back to one thread",
    may: ["load-stalled", "stopped"],
    behaviour: (at) => ({ working: (s) => (s < at ? 4 : 1) }),
  },
  {
    name: "is mistyped",
    may: ["disturbed"],
    behaviour: () => ({ ends: () => ({ notStarted: 'there is no "strss"' }) }),
  },
  {
    name: "is misused",
    may: ["disturbed"],
    behaviour: () => ({ ends: (s) => (s >= 1 ? { code: 2 } : null) }),
  },
  {
    name: "faults at once",
    may: ["disturbed"],
    behaviour: () => ({ ends: (s) => (s >= 1 ? { signal: "SIGSEGV" } : null) }),
  },
  {
    name: "is killed from elsewhere",
    may: ["disturbed"],
    behaviour: (at) => ({ ends: (s) => (s >= at ? { signal: "SIGKILL" } : null) }),
  },
  {
    name: "ends by itself",
    may: ["stopped"],
    behaviour: (at) => ({ ends: (s) => (s >= at ? { code: 0 } : null) }),
  },
];

export type TrickTold = Readonly<{ name: string; outcome: string; isFair: boolean }>;

/** Plays the tricks one after the other, on a build whose load drew 120 W before where that is needed to tell. */
export async function tricksTold(count: number, random: SeededRandom): Promise<readonly TrickTold[]> {
  const told: TrickTold[] = [];
  for (let i = 0; i < count; i++) {
    const trick = tricks[i % tricks.length] as Trick;
    const atS = 20 + random.index(70);
    const { reads } = trick;
    const bench = await attendedBench({
      seed: i + 1,
      behaviour: trick.behaviour(atS),
      ...(trick.wanted && { wanted: trick.wanted }),
      ...(reads && { reads: reads(atS) }),
    });
    if (reads)
      await bench.server.send("POST", `/api/builds/${bench.world.frame}/attempts`, {
        ...{
          workloadId: bench.world.heavy,
          clockMhz: 4575,
          voltageMv: 1200,
          outcome: "pass",
          durationS: 600,
        },
        ...{ powerW: 120, powerAt: "chip", startedAt: "2031-05-03T10:00:00Z" },
      });
    const id = await bench.arm({ plannedS: 130 });
    const { outcome } = await untilEnded(bench, bench.machine, id);
    await bench.close();
    told.push({ name: trick.name, outcome, isFair: trick.may.includes(outcome) });
  }
  return told;
}
