import type { Ending } from "./ending.ts";
import type { MachineReading } from "./reading.ts";

export type StopLimits = Readonly<{
  /** The chip's. */
  stopAtC: number;
  /** Those of other places, by the names the journal has for them. */
  places: Readonly<Record<string, number>>;
}>;

/** Tells, second by second, whether heat ends the run. */
export type HeatWatch = (t: number, reading: MachineReading) => Ending | null;

/** By these words drivers name a place that the journal calls by its plain name (common practice). */
const driverWords: Readonly<Record<string, RegExp>> = {
  supply: /supply|vrm|\bmos|regulator|phase/i,
  hotspot: /hot ?spot|junction/i,
  junction: /hot ?spot|junction/i,
  module: /module|dimm|dram|\bmem/i,
  package: /package|\btctl|\btdie/i,
};
/** One reading may fail; a sensor that is gone so long is gone. */
const vanishedS = 3;
const stoodS = 30;
/** A coarse sensor rests at its level; that it rose from idle, and that nothing else moves, speaks for it. */
const coarseStoodS = 120;
const fanStoodS = 3;
const leapC = 25;
const leapS = 3;
/** A load switched on leaps by itself: heat passes from a core to its sensor in seconds. */
const startS = 10;

/** Throttling is recorded elsewhere and ends nothing; heat does, and so does what can no longer be known of it. */
export function heatWatch(limits: StopLimits): HeatWatch {
  const watches = [limitWatch(limits), vanishedWatch(), stoodWatch(), fanWatch(), leapWatch()];
  return (t, reading) => {
    const found = watches.map((watch) => watch(t, reading)).find((because) => because !== null);
    return found === undefined || found === null ? null : { outcome: "too-hot", because: found };
  };
}

type Watch = (t: number, reading: MachineReading) => string | null;

const limitWatch =
  ({ stopAtC, places }: StopLimits): Watch =>
  (_, { tempC, temps }) => {
    if (tempC !== null && tempC >= stopAtC) return `It reached ${tempC} °C, and is to stop at ${stopAtC} °C.`;
    for (const [place, limitC] of Object.entries(places)) {
      const hot = Object.entries(temps).find(([sensor, value]) => isOf(sensor, place) && value >= limitC);
      if (hot !== undefined) return `${hot[0]} reached ${hot[1]} °C, and is to stop at ${limitC} °C.`;
    }
    return null;
  };

const isOf = (sensor: string, place: string): boolean =>
  sensor.toLowerCase().includes(place.toLowerCase()) ||
  (Object.hasOwn(driverWords, place.toLowerCase()) &&
    driverWords[place.toLowerCase()]?.test(sensor) === true);

function vanishedWatch(): Watch {
  let seenAtS: number | null = null;
  return (t, { tempC }) => {
    if (tempC !== null) seenAtS = t;
    return seenAtS !== null && t - seenAtS >= vanishedS ? "The temperature can no longer be read." : null;
  };
}

function stoodWatch(): Watch {
  let last: number | null = null;
  let [sinceS, isFine] = [0, false];
  let first: number | null = null;
  let companionsAt: readonly number[] = [];
  return (t, reading) => {
    const { tempC } = reading;
    if (tempC === null) return null;
    first ??= tempC;
    isFine ||= !Number.isInteger(tempC);
    const companions = companionsOf(reading);
    if (tempC !== last) {
      [last, sinceS, companionsAt] = [tempC, t, companions];
      return null;
    }
    const stood = t - sinceS;
    if (stood < stoodS) return null;
    const neverRose = tempC < first + 2;
    const othersMoved = companions.some((value, i) => Math.abs(value - (companionsAt[i] ?? value)) >= 5);
    if (isFine || neverRose || (stood >= coarseStoodS && othersMoved))
      return `The temperature has stood still at ${tempC} °C for ${Math.round(stood)} s under load.`;
    return null;
  };
}

const companionsOf = ({ temps, tempC }: MachineReading): readonly number[] =>
  Object.values(temps).filter((value) => value !== tempC);

function fanWatch(): Watch {
  const turned = new Set<string>();
  const standsSince = new Map<string, number>();
  return (t, { fans }) => {
    for (const [fan, rpm] of Object.entries(fans)) {
      if (rpm > 0) {
        turned.add(fan);
        standsSince.delete(fan);
      } else if (turned.has(fan) && !standsSince.has(fan)) standsSince.set(fan, t);
    }
    const [stands] = [...standsSince].filter(([, since]) => t - since >= fanStoodS);
    return stands === undefined ? null : `${stands[0]} stands still.`;
  };
}

function leapWatch(): Watch {
  let recent: readonly Readonly<{ t: number; tempC: number }>[] = [];
  return (t, { tempC }) => {
    if (tempC === null) return null;
    recent = [...recent.filter((one) => t - one.t <= leapS), { t, tempC }];
    const least = Math.min(...recent.filter((one) => one.t >= startS).map((one) => one.tempC));
    return t >= startS && tempC - least >= leapC
      ? `It rose by ${Math.round(tempC - least)} degrees in ${leapS} s.`
      : null;
  };
}
