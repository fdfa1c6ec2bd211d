import { closeSync, fstatSync, openSync, readSync } from "node:fs";
import { usualLogLimits } from "../bench/logs/logLimits.ts";
import { openSensorLog } from "../csv/sensorLog.ts";
import { type MachineReader, type MachineReading, nothingRead } from "./reading.ts";

/** A log that has not grown for so long says nothing of now: recorders write every few seconds. */
const freshS = 10;
const headBytes = 16_384;
const tailBytes = 8_192;

/** Readings of another recorder's growing log, in any form that the journal takes: its newest row, while it grows. */
export function followLog(
  file: string,
  nowS: () => number,
  complain: (words: string) => void,
): MachineReader {
  let latest: MachineReading = nothingRead;
  let [size, grewAtS, isReading, hasComplained] = [-1, Number.NEGATIVE_INFINITY, false, false];

  async function look(): Promise<void> {
    const grown = newestOf(file, size);
    if (grown === null) return;
    latest = (await readingIn(grown.pieces)) ?? latest;
    [size, grewAtS, hasComplained] = [grown.size, nowS(), false];
  }

  function read(): MachineReading {
    if (!isReading) {
      isReading = true;
      look()
        .catch((error: Error) => {
          if (!hasComplained) complain(`${file} cannot be followed: ${error.message}`);
          hasComplained = true;
        })
        .finally(() => {
          isReading = false;
        });
    }
    return nowS() - grewAtS <= freshS ? latest : nothingRead;
  }

  read();
  return { canRead: [`the newest row of ${file}`], cannotRead: [], read };
}

/** The beginning of the file and its last whole lines; null where it has not grown. */
function newestOf(
  file: string,
  before: number,
): Readonly<{ size: number; pieces: readonly Buffer[] }> | null {
  const handle = openSync(file, "r");
  try {
    const { size } = fstatSync(handle);
    if (size === before || size === 0) return null;
    const part = (at: number, length: number): Buffer => {
      const bytes = Buffer.alloc(length);
      return bytes.subarray(0, readSync(handle, bytes, 0, length, at));
    };
    if (size <= headBytes + tailBytes) return { size, pieces: [wholeLines(part(0, size))] };
    const head = wholeLines(part(0, headBytes));
    const tail = part(size - tailBytes, tailBytes);
    return { size, pieces: [head, wholeLines(tail.subarray(tail.indexOf(0x0a) + 1))] };
  } finally {
    closeSync(handle);
  }
}

const wholeLines = (bytes: Buffer): Buffer => bytes.subarray(0, bytes.lastIndexOf(0x0a) + 1);

async function readingIn(pieces: readonly Buffer[]): Promise<MachineReading | null> {
  async function* source(): AsyncGenerator<Buffer> {
    yield* pieces;
  }
  const log = await openSensorLog(source(), { limits: usualLogLimits });
  const names = log.suggested.filter(({ channel }) => channel !== "time");
  let values: readonly number[] | null = null;
  for await (const chunk of log.rows(log.suggested))
    if (chunk.rows > 0) values = names.map((_, i) => chunk.columns[i]?.[chunk.rows - 1] ?? Number.NaN);
  if (values === null) return null;
  const row = new Map(names.map(({ channel }, i) => [channel, values[i] ?? Number.NaN]));
  return readingOfRow(row);
}

function readingOfRow(row: ReadonlyMap<string, number>): MachineReading {
  const known = (channel: string): number | null => {
    const value = row.get(channel);
    return value === undefined || Number.isNaN(value) ? null : value;
  };
  const others = [...row].filter(([channel, value]) => !told.has(channel) && Number.isFinite(value));
  const supply = known("supply");
  const fan = known("fan");
  return {
    ...nothingRead,
    tempC: known("temperature"),
    powerW: known("power"),
    voltageMv: known("voltage"),
    clockMhz: known("clock"),
    temps: supply === null ? {} : { supply },
    fans: fan === null ? {} : { fan },
    others: Object.fromEntries(others),
  };
}

const told: ReadonlySet<string> = new Set([
  "temperature",
  "power",
  "voltage",
  "clock",
  "supply",
  "fan",
  "time",
]);
