import { attendedBench, seconds, untilEnded } from "./attendedBench.ts";

export type GapTold = Readonly<{
  outcome: string;
  /** Seconds of the run whose readings are there, less those there should be; and those that are there twice. */
  lacking: number;
  twice: number;
  /** Passes seen before the run had passed. */
  falsePasses: number;
}>;

/** Runs through which the network is cut, answers are lost and the server starts anew. */
export async function gapsTold(count: number, seed: number): Promise<readonly GapTold[]> {
  const bench = await attendedBench({ seed });
  const { server, machine, random, arm, attempt, rows } = bench;
  const told: GapTold[] = [];
  for (let gap = 0; gap < count; gap++) {
    const id = await arm({ plannedS: 40, clockMhz: 4600 + (gap % 10) });
    let [falsePasses, passedS] = [0, 0];
    const watch = async (s: number): Promise<void> => {
      for (let i = 0; i < s; i++) {
        await machine.second();
        passedS += 1;
        const found = await attempt(id);
        if (found.outcome === "pass" && passedS < 40) falsePasses += 1;
      }
    };
    await watch(1 + random.index(30));
    const kind = random.index(3);
    if (kind === 0) machine.reach(false);
    if (kind === 1) machine.loseAnswers(1 + random.index(6));
    // A server that starts anew knows nobody who attends, and finds the attempt interrupted.
    if (kind === 2) {
      machine.reach(false);
      server.journal.interrupted.add(id);
    }
    await watch(1 + random.index(40));
    machine.reach(true);
    const ended = await untilEnded(bench, machine, id);
    await seconds(machine, 8);
    const times = await rows(id);
    const wanted = Array.from({ length: 40 }, (_, t) => t + 1);
    told.push({
      outcome: ended.outcome,
      lacking: wanted.filter((t) => !times.includes(t)).length,
      twice: times.length - new Set(times).size,
      falsePasses,
    });
  }
  await bench.close();
  return told;
}
