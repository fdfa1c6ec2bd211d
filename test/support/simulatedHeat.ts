import type { SeededRandom } from "../../server/numerics/seededRandom.ts";

/** How a made-up chip warms under load, and how its sensor reads. */
export type HeatWorld = Readonly<{
  idleC: number;
  quickC: number;
  slowC: number;
  quickS: number;
  slowS: number;
  /** Wandering about the curve and how long it lasts, scatter of each reading, the step it is rounded to. */
  wanderC: number;
  memoryS: number;
  scatterC: number;
  stepC: number;
  driftCPerH: number;
  /** Share of readings lost, and of readings that come out as zero. */
  lost: number;
  zeros: number;
}>;

/** A world drawn at random: rounding of 1, 0.5 or 0.125 °C, noise of 0.3 to 0.7 °C, quick and slow coolers. */
export function heatWorld(random: SeededRandom): HeatWorld {
  const rise = random.uniformIn(25, 55);
  const quickShare = random.uniformIn(0.35, 0.7);
  const noise = random.uniformIn(0.3, 0.7);
  return {
    idleC: random.uniformIn(30, 42),
    quickC: rise * quickShare,
    slowC: rise * (1 - quickShare),
    quickS: Math.exp(random.uniformIn(Math.log(6), Math.log(18))),
    slowS: Math.exp(random.uniformIn(Math.log(110), Math.log(320))),
    wanderC: noise * 0.8,
    memoryS: random.uniformIn(8, 22),
    scatterC: noise * 0.6,
    stepC: [1, 0.5, 0.125][random.index(3)] ?? 1,
    driftCPerH: 0.8 * random.normal(),
    lost: random.uniform() < 0.5 ? 0.03 : 0,
    zeros: random.uniform() < 0.3 ? 0.003 : 0,
  };
}

export const levelOf = (world: HeatWorld): number => world.idleC + world.quickC + world.slowC;

/** The curve without noise, `loadS` seconds after the load came on. */
export function curveAt(world: HeatWorld, loadS: number): number {
  if (loadS <= 0) return world.idleC;
  return (
    levelOf(world) -
    world.quickC * Math.exp(-loadS / world.quickS) -
    world.slowC * Math.exp(-loadS / world.slowS)
  );
}

/** A reading a second: `beforeS` at idle, then `underS` under load. */
export function heatTrace(world: HeatWorld, beforeS: number, underS: number, random: SeededRandom) {
  const keep = Math.exp(-1 / world.memoryS);
  let wander = world.wanderC * random.normal();
  const t: number[] = [];
  const temperature: number[] = [];
  for (let s = 0; s < beforeS + underS; s += 1) {
    wander = keep * wander + world.wanderC * Math.sqrt(1 - keep * keep) * random.normal();
    const drift = (world.driftCPerH * Math.max(0, s - beforeS)) / 3600;
    const read = curveAt(world, s - beforeS) + drift + wander + world.scatterC * random.normal();
    const rounded = Math.round(read / world.stepC) * world.stepC;
    const fate = random.uniform();
    t.push(s);
    temperature.push(fate < world.lost ? Number.NaN : fate < world.lost + world.zeros ? 0 : rounded);
  }
  return { t: Float64Array.from(t), temperature: Float64Array.from(temperature) };
}
