import { readdir, readFile } from "node:fs/promises";
import path from "node:path";
import type { Sensor, SensorKind, SensorReading } from "../bench/logs/sensor.ts";
import { numberNow } from "./textFile.ts";

/** The kernel writes thousandths, and millionths of a watt (its documentation, hwmon/sysfs-interface). */
const kinds: Readonly<Record<string, Readonly<{ kind: SensorKind; unit: string; divisor: number }>>> = {
  temp: { kind: "temperature", unit: "°C", divisor: 1000 },
  fan: { kind: "fan", unit: "rpm", divisor: 1 },
  in: { kind: "voltage", unit: "mV", divisor: 1 },
  curr: { kind: "current", unit: "A", divisor: 1000 },
  power: { kind: "power", unit: "W", divisor: 1_000_000 },
};

const input = /^(temp|fan|in|curr|power)(\d+)_(input|average)$/;

export const hwmonRoot = "/sys/class/hwmon";

/** The sensors that are there now; none where the folder is not. */
export async function sensorsIn(root: string = hwmonRoot): Promise<readonly Sensor[]> {
  const devices = (await entriesOf(root)).sort((a, b) => a.localeCompare(b, "en", { numeric: true }));
  const lists = await Promise.all(devices.map((device) => deviceSensors(path.join(root, device))));
  return numbered(lists);
}

async function deviceSensors(folder: string): Promise<readonly Sensor[]> {
  const names = await entriesOf(folder);
  const device = (await textOf(path.join(folder, "name"))) || path.basename(folder);
  const inputs = names.filter((name) => input.test(name) && !isSecond(name, names));
  inputs.sort((a, b) => a.localeCompare(b, "en", { numeric: true }));
  return Promise.all(inputs.map((name) => sensorOf(folder, device, name)));
}

/** An average is read only where there is no present value. */
const isSecond = (name: string, names: readonly string[]): boolean =>
  name.endsWith("_average") && names.includes(name.replace("_average", "_input"));

async function sensorOf(folder: string, device: string, name: string): Promise<Sensor> {
  const [, prefix = "", place = ""] = input.exec(name) ?? [];
  const { kind, unit } = kinds[prefix] ?? { kind: "temperature", unit: "" };
  const label = (await textOf(path.join(folder, `${prefix}${place}_label`))) || `${kind} ${place}`;
  return { id: `${device}/${prefix}${place}`, device, label, kind, unit, file: path.join(folder, name) };
}

/** Two devices of the same name are told apart by their order. */
function numbered(lists: readonly (readonly Sensor[])[]): readonly Sensor[] {
  const seen = new Map<string, number>();
  return lists.flatMap((sensors) => {
    const device = sensors[0]?.device;
    if (device === undefined) return [];
    const count = (seen.get(device) ?? 0) + 1;
    seen.set(device, count);
    if (count === 1) return [...sensors];
    return sensors.map((sensor) => ({
      ...sensor,
      device: `${device} ${count}`,
      id: sensor.id.replace(device, `${device}.${count}`),
    }));
  });
}

/** What the sensors read now. One that has vanished, or fails to answer, is left out and asked again next time. */
export async function readingsFrom(sensors: readonly Sensor[]): Promise<readonly SensorReading[]> {
  const values = await Promise.all(sensors.map((sensor) => presentValue(sensor)));
  return sensors.flatMap((sensor, at) => {
    const value = values[at];
    return value === undefined ? [] : [{ sensor, value }];
  });
}

async function presentValue(sensor: Sensor): Promise<number | undefined> {
  const text = await textOf(sensor.file);
  if (!/^-?\d+$/.test(text)) return undefined;
  return Number(text) / divisorOf(sensor);
}

const divisorOf = ({ file }: Sensor): number =>
  kinds[input.exec(path.basename(file))?.[1] ?? ""]?.divisor ?? 1;

const entriesOf = (folder: string): Promise<string[]> => readdir(folder).catch(() => []);

const textOf = async (file: string): Promise<string> => (await readFile(file, "utf8").catch(() => "")).trim();

/** The same at once, for a program that has nothing else to do meanwhile; each waited for would cost three times as much. */
export const readingsNow = (sensors: readonly Sensor[]): readonly SensorReading[] =>
  sensors.flatMap((sensor) => {
    const raw = numberNow(sensor.file);
    return raw === null ? [] : [{ sensor, value: raw / divisorOf(sensor) }];
  });
