import type { EvidenceRow } from "../things/evidenceRow.ts";
import { neverStarted } from "../things/outcome.ts";

/** Power = C V^2 f + static power, from readings at two voltages or more under one workload. */
export type PowerLaw = Readonly<{
  wattsAt: (clockMhz: number, voltageMv: number) => number;
  staticW: number;
  voltages: number;
  readings: number;
}>;

/** Power read at the wall holds the whole machine, so it says nothing of the chip's share; no place named means the chip. */
const isChipPower = ({ powerW, powerAt, throttled, outcome, durationS }: EvidenceRow): boolean =>
  powerW !== null &&
  powerW > 0 &&
  powerAt !== "wall" &&
  throttled !== true &&
  !neverStarted(outcome) &&
  durationS >= 30;

/** Of the load and the place, chip or board, read at the most voltages: the two are never mixed. */
export function chipPowerRows(rows: readonly EvidenceRow[]): readonly EvidenceRow[] {
  const groups = new Map<string, EvidenceRow[]>();
  for (const row of rows.filter(isChipPower)) {
    const key = `${row.workloadId} ${row.powerAt ?? "chip"}`;
    const readings = groups.get(key);
    if (readings === undefined) groups.set(key, [row]);
    else readings.push(row);
  }
  const byWidth = [...groups.values()].sort((a, b) => voltagesOf(b) - voltagesOf(a) || b.length - a.length);
  return byWidth[0] ?? [];
}

/** The law of the load whose power was read at the most voltages; undefined under two voltages. */
export function powerLawOf(rows: readonly EvidenceRow[]): PowerLaw | undefined {
  const readings = chipPowerRows(rows);
  const voltages = voltagesOf(readings);
  return voltages < 2 ? undefined : fittedTo(readings, voltages);
}

const voltagesOf = (rows: readonly EvidenceRow[]): number =>
  new Set(rows.map(({ voltageMv }) => voltageMv)).size;

const switchingOf = (clockMhz: number, voltageMv: number): number => (voltageMv / 1000) ** 2 * clockMhz;

/** Least squares through the readings; a static share below nothing counts as nothing, above nine tenths as that. */
function fittedTo(rows: readonly EvidenceRow[], voltages: number): PowerLaw | undefined {
  const x = rows.map((row) => switchingOf(row.effectiveClockMhz ?? row.clockMhz, row.voltageMv));
  const y = rows.map(({ powerW }) => powerW ?? 0);
  const meanX = x.reduce((sum, value) => sum + value, 0) / x.length;
  const meanY = y.reduce((sum, value) => sum + value, 0) / y.length;
  let covariance = 0;
  let variance = 0;
  for (let i = 0; i < x.length; i++) {
    covariance += (x[i]! - meanX) * (y[i]! - meanY);
    variance += (x[i]! - meanX) ** 2;
  }
  if (!(variance > 0)) return undefined;
  const staticW = Math.min(Math.max(meanY - (covariance / variance) * meanX, 0), 0.9 * meanY);
  const perSwitching = (meanY - staticW) / meanX;
  return {
    wattsAt: (clockMhz, voltageMv) => perSwitching * switchingOf(clockMhz, voltageMv) + staticW,
    staticW,
    voltages,
    readings: rows.length,
  };
}
