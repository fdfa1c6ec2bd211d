import path from "node:path";
import type { Sensor, SensorKind, SensorReading } from "../bench/logs/sensor.ts";
import {
  highestClockMhz,
  loadedBetween,
  middleClockMhz,
  type ProcessorTimes,
  processorTimes,
} from "../kernel/clocks.ts";
import { type EnergyCounter, energyCounters, meanPowerW } from "../kernel/energy.ts";
import { type ErrorCounts, kernelErrorCounts } from "../kernel/errorCounts.ts";
import { readingsNow, sensorsIn } from "../kernel/hwmon.ts";
import { numberNow } from "../kernel/textFile.ts";
import type { MachineReader, MachineReading } from "./reading.ts";

export type OwnSensorsOf = Readonly<{
  sysfs: string;
  proc: string;
  /** Where a reader copies what only root may read. */
  reader: string;
  /** Which kind of chip is under test. */
  chip: "cpu" | "gpu" | "memory";
  nowS(): number;
}>;

/** By these words drivers name what belongs to each kind of chip (common practice). */
const chipWords = {
  cpu: /core|cpu|package|\bdie\b|tdie|tctl|socket/i,
  gpu: /gpu|edge|junction|hot ?spot/i,
  memory: /dimm|dram|memory|spd/i,
} as const;

const errorsEveryS = 10;

/** The system's own sensors, clocks, energy and error counters. */
export async function ownSensors(of: OwnSensorsOf): Promise<MachineReader> {
  const sensors = await sensorsIn(path.join(of.sysfs, "class/hwmon"));
  const chosen = chosenOf(sensors, of.chip);
  const counters = energyCounters(of.sysfs, of.reader);
  const power = powerSource(chosen.power, counters, of.nowS);
  const clock = clockSource(of);
  const errors = errorSource(of);
  return {
    ...told(chosen, power.name, clock.canRead, errors()),
    read: (): MachineReading => {
      const read = readingsNow(sensors);
      return {
        tempC: hottest(read, chosen.temperatures),
        powerW: power.read(read),
        voltageMv: readBy(read, chosen.voltage),
        clockMhz: clock.read(),
        temps: byPlace(read, "temperature"),
        fans: byPlace(read, "fan"),
        corrected: errors(),
        others: {},
      };
    },
  };
}

type Chosen = Readonly<{
  temperatures: readonly Sensor[];
  voltage: Sensor | null;
  power: Sensor | null;
  fans: number;
}>;

function chosenOf(sensors: readonly Sensor[], chip: OwnSensorsOf["chip"]): Chosen {
  const of = (kind: SensorKind) => sensors.filter((sensor) => sensor.kind === kind);
  const named = (some: readonly Sensor[], words: RegExp) =>
    some.filter(({ device, label }) => words.test(`${device} ${label}`));
  const temperatures = named(of("temperature"), chipWords[chip]);
  return {
    // With none of them named, heat anywhere is heat.
    temperatures: temperatures.length > 0 ? temperatures : of("temperature"),
    voltage: named(of("voltage"), chip === "cpu" ? /vcore|v ?cpu|cpu v|core/i : chipWords[chip])[0] ?? null,
    power: named(of("power"), chipWords[chip])[0] ?? null,
    fans: of("fan").length,
  };
}

const readBy = (read: readonly SensorReading[], sensor: Sensor | null): number | null =>
  (sensor && read.find((one) => one.sensor === sensor)?.value) ?? null;

function hottest(read: readonly SensorReading[], places: readonly Sensor[]): number | null {
  const values = read.filter(({ sensor }) => places.includes(sensor)).map(({ value }) => value);
  return values.length === 0 ? null : Math.max(...values);
}

const byPlace = (read: readonly SensorReading[], kind: SensorKind): Record<string, number> =>
  Object.fromEntries(
    read
      .filter(({ sensor }) => sensor.kind === kind)
      .map(({ sensor, value }) => [`${sensor.device} ${sensor.label}`, value]),
  );

/** A sensor of power where the chip has one, else the mean of its energy counters since they were last read. */
function powerSource(sensor: Sensor | null, counters: readonly EnergyCounter[], nowS: () => number) {
  if (sensor !== null)
    return { name: sensor.label, read: (read: readonly SensorReading[]) => readBy(read, sensor) };
  if (counters.length === 0) return { name: null, read: () => null };
  let before: { atS: number; uj: readonly (number | null)[] } | null = null;
  const read = (): number | null => {
    const now = { atS: nowS(), uj: counters.map(({ file }) => numberNow(file)) };
    const was = before;
    before = now;
    if (was === null) return null;
    const each = counters.map(({ rangeUj }, i) => {
      const [from, to] = [was.uj[i] ?? null, now.uj[i] ?? null];
      return from === null || to === null ? null : meanPowerW(from, to, now.atS - was.atS, rangeUj);
    });
    return each.some((watts) => watts === null)
      ? null
      : each.reduce<number>((sum, watts) => sum + (watts ?? 0), 0);
  };
  return { name: `energy of ${counters.map(({ name }) => name).join(", ")}`, read };
}

function clockSource({ sysfs, proc }: OwnSensorsOf) {
  let before: ProcessorTimes = processorTimes(proc);
  const all = [...before.keys()];
  return {
    canRead: middleClockMhz(sysfs, all) !== null,
    read: (): number | null => {
      const after = processorTimes(proc);
      const loaded = loadedBetween(before, after);
      before = after;
      return loaded.length > 0 ? middleClockMhz(sysfs, loaded) : highestClockMhz(sysfs, all);
    },
  };
}

function errorSource({ sysfs, proc, nowS }: OwnSensorsOf): () => ErrorCounts {
  let [counts, dueS] = [kernelErrorCounts(sysfs, proc), nowS() + errorsEveryS];
  return () => {
    if (nowS() >= dueS) [counts, dueS] = [kernelErrorCounts(sysfs, proc), nowS() + errorsEveryS];
    return counts;
  };
}

function told(
  { temperatures, voltage, fans }: Chosen,
  power: string | null,
  clock: boolean,
  errors: ErrorCounts,
) {
  const [first] = temperatures;
  const places = Object.keys(errors);
  const sources: readonly (readonly [string, string | null])[] = [
    ["temperature", first ? `${first.device}, ${temperatures.length} places` : null],
    ["voltage", voltage ? `${voltage.device}, ${voltage.label}` : null],
    ["power", power],
    ["clock", clock ? "the working processors" : null],
    ["fans", fans > 0 ? String(fans) : null],
    ["corrected errors", places.length > 0 ? places.join(", ") : null],
  ];
  return {
    canRead: sources.flatMap(([what, source]) => (source === null ? [] : [`${what}: ${source}`])),
    cannotRead: sources.flatMap(([what, source]) => (source === null ? [what] : [])),
  };
}
