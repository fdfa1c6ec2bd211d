import type { HeatTrace } from "../../server/bench/heat/heatTrace.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";

/** Ten ways a run can go; the first five go undisturbed to their end. */
export const heatKinds = [
  "plain",
  "warm start",
  "slow cooler",
  "drifting room",
  "held back throughout",
  "fan step told",
  "fan step untold",
  "load or clock step",
  "room step",
  "pulsing load",
] as const;
export type HeatKind = (typeof heatKinds)[number];
export const isUndisturbed = (kind: HeatKind): boolean => heatKinds.indexOf(kind) < 5;

export const setClockMhz = 4800;

/** What heats, cools and surrounds the chip at one second of load; `s` below zero is idle. */
type Conditions = Readonly<{
  watts: number;
  fan: number;
  roomC: number;
  clockMhz: number;
  loadPercent: number;
}>;
type World = Readonly<{
  quickCPerW: number;
  slowCPerW: number;
  quickS: number;
  slowS: number;
  beforeS: number;
  warmShare: number;
  at: (s: number) => Conditions;
  told: readonly ("power" | "clock" | "load" | "fan" | "ambient")[];
  sensor: Readonly<{
    wanderC: number;
    memoryS: number;
    scatterC: number;
    stepC: number;
    lost: number;
    zeros: number;
  }>;
}>;

export type KindRun = Readonly<{
  kind: HeatKind;
  trace: HeatTrace & Readonly<{ fan?: ArrayLike<number> }>;
  loadStartS: number;
  /** The temperature at each row but for what the sensor makes of it. */
  courseC: Float64Array;
  /** When what heats or cools it changed, in seconds of load; null where it never did. */
  changedS: number | null;
  /** Where it would level under the conditions of its last minutes. */
  endC: number;
}>;

/** One run of a kind, a reading a second, `underS` of load; the same for the same seed. */
export function kindRun(kind: HeatKind, underS: number, seed: number): KindRun {
  const random = seededRandom(seed);
  const { world, changedS } = worldOf(kind, underS, random);
  return { kind, changedS, loadStartS: world.beforeS, ...readings(world, underS, random) };
}

const logUniform = (random: SeededRandom, from: number, to: number): number =>
  Math.exp(random.uniformIn(Math.log(from), Math.log(to)));

function worldOf(kind: HeatKind, underS: number, random: SeededRandom) {
  const watts = random.uniformIn(90, 220);
  const rise = random.uniformIn(25, 55);
  const quickShare = random.uniformIn(0.35, 0.7);
  const noise = random.uniformIn(0.3, 0.7);
  const changeAt = underS * random.uniformIn(0.35, 0.65);
  const size = random.uniformIn(0.12, 0.3) * (random.uniform() < 0.5 ? -1 : 1);
  const roomC = random.uniformIn(18, 28);
  const steady: Conditions = { watts, fan: 1, roomC, clockMhz: setClockMhz, loadPercent: 100 };
  const slowRise = rise * (1 - quickShare);
  const stepC = Math.min(random.uniformIn(3, 8), 0.4 * slowRise) * Math.sign(size);
  const fanStep = { fan: (1 - stepC / slowRise) ** -1.25 };
  const told = kind === "fan step untold" ? [] : (["power"] as const);
  const changed = (s: number, change: Partial<Conditions>): Conditions =>
    s < changeAt ? steady : { ...steady, ...change };
  const courses: Record<HeatKind, Pick<World, "at" | "told">> = {
    plain: { at: () => steady, told: random.uniform() < 0.5 ? told : [] },
    "warm start": { at: () => steady, told },
    "slow cooler": { at: () => steady, told },
    "drifting room": {
      at: drifting(steady, random),
      told: ["power", "ambient"],
    },
    "held back throughout": {
      at: heldBack(steady, random.uniformIn(0.9, 0.975)),
      told: ["power", "clock"],
    },
    "fan step told": { at: (s) => changed(s, fanStep), told: ["power", "fan"] },
    "fan step untold": { at: (s) => changed(s, fanStep), told: [] },
    "load or clock step": {
      at: (s) =>
        changed(s, {
          watts: watts * (1 + size),
          clockMhz: setClockMhz * (1 + size / 3),
          loadPercent: 100 * (1 - Math.abs(size)),
        }),
      told: [(["power", "clock", "load"] as const)[random.index(3)] ?? "power"],
    },
    "room step": { at: (s) => changed(s, { roomC: roomC + 20 * size }), told: ["power", "ambient"] },
    "pulsing load": { at: pulsing(steady, random), told: ["power"] },
  };
  const isStep = kind.includes("step");
  const world: World = {
    quickCPerW: (rise * quickShare) / watts,
    slowCPerW: (rise * (1 - quickShare)) / watts,
    quickS: logUniform(random, 6, 18),
    slowS: kind === "slow cooler" ? logUniform(random, 400, 1000) : logUniform(random, 110, 320),
    beforeS: 60 + random.index(60),
    warmShare: kind === "warm start" ? random.uniformIn(0.2, 0.6) : 0,
    ...courses[kind],
    sensor: {
      wanderC: noise * 0.8,
      memoryS: random.uniformIn(8, 22),
      scatterC: noise * 0.6,
      stepC: [1, 0.5, 0.125][random.index(3)] ?? 1,
      lost: random.uniform() < 0.5 ? 0.03 : 0,
      zeros: random.uniform() < 0.3 ? 0.003 : 0,
    },
  };
  return { world, changedS: isStep ? changeAt : null };
}

function drifting(steady: Conditions, random: SeededRandom): World["at"] {
  const perHour = random.uniformIn(-4, 4);
  const [swing, turn] = [random.uniformIn(0, 0.5), random.uniformIn(900, 2400)];
  return (s) => ({ ...steady, roomC: steady.roomC + (perHour * s) / 3600 + swing * Math.sin(s / turn) });
}

/** Held back from its first seconds on, its clock fluttering about a mean. */
const heldBack =
  (steady: Conditions, share: number): World["at"] =>
  (s) => ({
    ...steady,
    clockMhz: s < 8 ? setClockMhz : setClockMhz * share * (1 + 0.004 * Math.sin(s * 1.7)),
  });

function pulsing(steady: Conditions, random: SeededRandom): World["at"] {
  const periodS = Math.round(random.uniformIn(30, 100));
  const [duty, least] = [random.uniformIn(0.35, 0.65), random.uniformIn(0.25, 0.5)];
  return (s) =>
    s >= 0 && (s % periodS) / periodS >= duty ? { ...steady, watts: least * steady.watts } : steady;
}

const idleShare = 0.12;

/** Two stages, each a first-order lag driven by the power; a faster fan cools the slow one better and makes it quicker. */
function readings(world: World, underS: number, random: SeededRandom) {
  const { sensor, beforeS, at } = world;
  const keep = Math.exp(-1 / sensor.memoryS);
  let wander = sensor.wanderC * random.normal();
  const idle = at(-1).watts * idleShare;
  let quick = idle * world.quickCPerW;
  let slow = idle * world.slowCPerW + world.warmShare * (at(0).watts - idle) * world.slowCPerW;
  const driftCPerH = 0.8 * random.normal();
  let feltC = at(-1).roomC;
  const rows: { t: number; read: number; now: Conditions; felt: number; courseC: number }[] = [];
  for (let row = 0; row < beforeS + underS; row += 1) {
    const s = row - beforeS;
    const now = s < 0 ? { ...at(s), watts: idle, clockMhz: 800, loadPercent: 2 } : at(s);
    const resistance = world.slowCPerW * now.fan ** -0.8;
    const share = -Math.expm1(-1 / (world.slowS * now.fan ** -0.8));
    quick += -Math.expm1(-1 / world.quickS) * (now.watts * world.quickCPerW - quick);
    if (s >= 0 || world.warmShare === 0) slow += share * (now.watts * resistance - slow);
    feltC += share * (now.roomC - feltC);
    wander = keep * wander + sensor.wanderC * Math.sqrt(1 - keep * keep) * random.normal();
    const drift = (driftCPerH * Math.max(0, s)) / 3600;
    const courseC = drift + feltC + quick + slow;
    const c = courseC + wander + sensor.scatterC * random.normal();
    const fate = random.uniform();
    const read =
      fate < sensor.lost
        ? Number.NaN
        : fate < sensor.lost + sensor.zeros
          ? 0
          : Math.round(c / sensor.stepC) * sensor.stepC;
    rows.push({ t: row, read, now, felt: feltC, courseC });
  }
  const last = rows.at(-1)?.now ?? at(underS);
  const lastMinutes = rows.slice(-180);
  const isRoomTold = world.told.includes("ambient");
  const roomC = isRoomTold
    ? lastMinutes.reduce((sum, { felt }) => sum + felt, 0) / lastMinutes.length
    : last.roomC;
  const noisy = (value: number, share: number): number => value * (1 + share * random.normal());
  const column = (name: World["told"][number]): ArrayLike<number> | undefined => {
    if (!world.told.includes(name)) return undefined;
    const of: Record<typeof name, (now: Conditions) => number> = {
      power: ({ watts }) => noisy(watts, 0.012),
      clock: ({ clockMhz }) => noisy(clockMhz, 0.001),
      load: ({ loadPercent }) => Math.min(100, noisy(loadPercent, 0.01)),
      fan: ({ fan }) => noisy(1200 * fan, 0.006),
      ambient: ({ roomC: air }) => Math.round(10 * (air + 0.05 * random.normal())) / 10,
    };
    return Float64Array.from(rows, ({ now }) => of[name](now));
  };
  const columns = {
    power: column("power"),
    clock: column("clock"),
    load: column("load"),
    fan: column("fan"),
    ambient: column("ambient"),
  };
  return {
    trace: {
      t: Float64Array.from(rows, ({ t }) => t),
      temperature: Float64Array.from(rows, ({ read }) => read),
      ...Object.fromEntries(Object.entries(columns).filter(([, values]) => values !== undefined)),
    },
    courseC: Float64Array.from(rows, ({ courseC }) => courseC),
    endC: roomC + last.watts * (world.quickCPerW + world.slowCPerW * last.fan ** -0.8),
  };
}
