import { formatNumber } from "./format.ts";
import type { Axis, Extent } from "./plot.ts";

const roundStep = (rough: number): number => {
  const power = 10 ** Math.floor(Math.log10(rough));
  const lead = rough / power;
  return (lead < 1.5 ? 1 : lead < 2.25 ? 2 : lead < 3.5 ? 2.5 : lead < 7.5 ? 5 : 10) * power;
};

/** Minutes are told off by these. */
const minuteSteps = [0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 20, 30, 60, 120, 240];
const minuteStep = (rough: number): number =>
  minuteSteps.find((step) => step > 0.75 * rough) ?? roundStep(rough);

/** Round values inside the extent, about `wanted` of them. */
export const ticksOf = ([low, high]: Extent, wanted: number, stepBy = roundStep): readonly number[] => {
  const step = stepBy((high - low) / Math.max(1, wanted));
  if (!(step > 0) || !Number.isFinite(step)) return [];
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.floor(high / step + 1e-9);
  return Array.from({ length: last - first + 1 }, (_, i) => Number(((first + i) * step).toPrecision(12)));
};

/** Numbers inside the extent that are round in the axis's own unit, about `wanted` of them. */
export const axisTicks = ({ per = 1 }: Axis, [low, high]: Extent, wanted: number): readonly number[] =>
  ticksOf([low / per, high / per], wanted, per === 60 ? minuteStep : roundStep).map((tick) => tick * per);

/** The ticks as they are told: in the axis's unit, and with as many decimals as tell them apart. */
export function tickWords({ per = 1, decimals }: Axis, ticks: readonly number[]): readonly string[] {
  const told = ticks.map((tick) => Number((tick / per).toPrecision(12)));
  const places = decimals ?? tickDecimals(told);
  return told.map((tick) => formatNumber(tick, places));
}

/** As many decimals as tell the ticks apart. */
export const tickDecimals = (ticks: readonly number[]): number =>
  Math.max(0, ...ticks.map((tick) => (String(tick).split(".")[1] ?? "").length));
