import type { Extent } from "./plot.ts";

const roundStep = (rough: number): number => {
  const power = 10 ** Math.floor(Math.log10(rough));
  const lead = rough / power;
  return (lead < 1.5 ? 1 : lead < 2.25 ? 2 : lead < 3.5 ? 2.5 : lead < 7.5 ? 5 : 10) * power;
};

/** Round values inside the extent, about `wanted` of them. */
export const ticksOf = ([low, high]: Extent, wanted: number): readonly number[] => {
  const step = roundStep((high - low) / Math.max(1, wanted));
  if (!(step > 0) || !Number.isFinite(step)) return [];
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.floor(high / step + 1e-9);
  return Array.from({ length: last - first + 1 }, (_, i) => Number(((first + i) * step).toPrecision(12)));
};

/** As many decimals as tell the ticks apart. */
export const tickDecimals = (ticks: readonly number[]): number =>
  Math.max(0, ...ticks.map((tick) => (String(tick).split(".")[1] ?? "").length));
