import type { Attempt } from "../things/attempt.ts";
import { outcomeClass } from "../things/outcome.ts";
import type { Setting } from "../things/setting.ts";

export const electricalFields = [
  "id",
  "workloadId",
  "clockMhz",
  "voltageMv",
  "outcome",
  "loadVoltageMv",
  "voltageReadAt",
  "loadLine",
  "currentA",
  "powerW",
  "powerAt",
  "effectiveClockMhz",
  "throttled",
  "loadTempC",
  "score",
] as const satisfies readonly (keyof Attempt)[];

/** The part of an attempt that power, droop and current look at; of one set by an offset clock and voltage are readings. */
export type ElectricalReading = Readonly<Pick<Attempt, (typeof electricalFields)[number]>>;

/** The same of one that was set by clock and voltage. */
export type ElectricalRun = ElectricalReading & Setting;

/** Figures are read off runs that kept running. */
export const keptRunning = ({ outcome }: Pick<ElectricalReading, "outcome">): boolean =>
  outcomeClass(outcome) === "pass" || outcomeClass(outcome) === "stopped";

/** The clock it truly ran at; null where it throttled and nobody read how far. */
export const trueClockMhz = (run: ElectricalReading): number | null =>
  run.effectiveClockMhz ?? (run.throttled === true ? null : run.clockMhz);

/** The voltage that arrived, else the one set. */
export const arrivedMv = (run: ElectricalRun): number => run.loadVoltageMv ?? run.voltageMv;

/** A value with its 95 % ends; null where too few readings give ends. */
export type Found = Readonly<{ value: number; low: number | null; high: number | null }>;

export const foundWith = (value: number, half: number | undefined): Found => ({
  value,
  low: half === undefined ? null : value - half,
  high: half === undefined ? null : value + half,
});

/** Why a figure cannot be given, in one sentence. */
export type Unknown = Readonly<{ unknown: string }>;
