import { attendedBench, seconds } from "./attendedBench.ts";

export type DeathTold = Readonly<{
  outcome: string;
  /** How far what was told lies from the truth. */
  offS: number;
  starts: number;
}>;

/** One machine that dies again and again, each time at a moment of its own; gives what the journal says of each. */
export async function deathsTold(count: number, seed: number): Promise<readonly DeathTold[]> {
  const bench = await attendedBench({ seed });
  const { machine, random, arm, attempt } = bench;
  const told: DeathTold[] = [];
  for (let death = 0; death < count; death++) {
    const before = machine.starts();
    const id = await arm({ plannedS: 600, clockMhz: 4600 + (death % 10) });
    while (machine.starts() === before) await machine.second();
    await seconds(machine, random.index(45));
    if (random.uniform() < 0.3) machine.reach(false);
    await seconds(machine, random.index(12));
    const truthS = await machine.dieWithin();
    await seconds(machine, 1 + random.index(90));
    machine.reach(true);
    machine.start("machine");
    // It would have started again by now, were it ever to.
    await seconds(machine, 12);
    const found = await attempt(id);
    told.push({
      outcome: found.outcome,
      offS: Math.abs((found.durationS ?? 1e9) - truthS),
      starts: machine.starts() - before,
    });
  }
  await bench.close();
  return told;
}
