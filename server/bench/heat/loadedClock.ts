import type { ChipKind } from "../things/chip.ts";
import { meanBetween } from "./heatTrace.ts";
import type { Span } from "./spans.ts";

/** A clock channel of a trace, in MHz, and the load of the same core where the trace has it. */
export type ClockColumn = Readonly<{
  channel: string;
  mhz: ArrayLike<number>;
  loadPercent: ArrayLike<number> | null;
}>;

/** What a clock channel read while its core was busy. */
export type LoadedClock = Readonly<{ channel: string; mhz: number }>;

/** Clocks of other parts of the machine, and bounds that are no readings. */
const elsewhere =
  /mem|dram|\bbus\b|\bbase\b|bclk|fabric|uncore|\bring\b|cache|\bsoc\b|video|limit|target|request/i;

/** Whether a channel by this name can be the clock a chip's setting speaks of. A memory's clock is not told apart by name. */
export const isOwnClock = (channel: string, kind: ChipKind): boolean =>
  kind !== "memory" && !elsewhere.test(channel);

const rampS = 5;
const busyPercent = 50;
const leastBusyShare = 0.1;
const leastReadings = 5;

/** The mean clock of each channel while its core was busy, the highest first; a core that idled says nothing. */
export function loadedClocksOf(
  t: ArrayLike<number>,
  columns: Iterable<ClockColumn>,
  loaded: Span,
): readonly LoadedClock[] {
  const span = loaded.toS - loaded.fromS > 6 * rampS ? steadyPart(loaded) : loaded;
  const clocks: LoadedClock[] = [];
  for (const { channel, mhz, loadPercent } of columns) {
    const isBusy = (row: number): boolean =>
      loadPercent === null || (loadPercent[row] as number) >= busyPercent;
    const busy = meanBetween(t, mhz, span, (value, row) => isClock(value) && isBusy(row));
    const all = meanBetween(t, mhz, span, isClock);
    if (busy.mean === undefined || busy.count < Math.max(leastReadings, leastBusyShare * all.count)) continue;
    clocks.push({ channel, mhz: Math.round(busy.mean * 10) / 10 });
  }
  return clocks.sort((a, b) => b.mhz - a.mhz);
}

const steadyPart = ({ fromS, toS }: Span): Span => ({ fromS: fromS + rampS, toS: toS - 1 });
const isClock = (value: number): boolean => value > 0;

/** Channels further apart than this do not speak of one clock. */
const agreeing = 0.02;

/** The clock the channels agree on; null where there is none, or where they do not agree and the tester must say. */
export function clockAgreed(clocks: readonly LoadedClock[]): number | null {
  if (clocks.length === 0 || clocksDisagree(clocks)) return null;
  return Math.round((10 * clocks.reduce((sum, { mhz }) => sum + mhz, 0)) / clocks.length) / 10;
}

export const clocksDisagree = (clocks: readonly LoadedClock[]): boolean => {
  const [most, least] = [clocks[0]?.mhz ?? 0, clocks.at(-1)?.mhz ?? 0];
  return most - least > agreeing * most;
};
