import { normalQuantile, studentQuantile } from "../../numerics/distributions.ts";
import { groupedBy } from "../../numerics/groups.ts";
import { priorRegressionOf } from "../../numerics/priorRegression.ts";
import { type ElectricalRun, keptRunning } from "../runs/electricalRun.ts";
import type { EvidenceRow, TriedRow } from "../things/evidenceRow.ts";
import { neverStarted } from "../things/outcome.ts";
import type { PlacedAttempt } from "../things/placedAttempt.ts";
import { voltageMv } from "../things/units.ts";
import { droopMv } from "./loadLine.ts";

/** An attempt on automatic voltage, and its load-line as set. */
export type OnAutomatic<Row extends TriedRow = TriedRow> = Readonly<{ row: Row; loadLine: string | null }>;

/** A lone reading of a supply under load lies so far off, before any scatter is known (common practice). */
const usualReadingMv = 6;
/** Droop grows with current: by so many mV for as much current again, give or take as much (common practice). */
const usualPerCurrentMv = 40;
/** That guess of the reading's error counts as so many readings. */
const guessCounts = 2;
/** At one clock a firmware's voltage strays by so much (common practice). */
const usualStraysMv = 3;
/** It gives so much of a percent more for a percent of clock, give or take as much (common practice). */
const usualRise = 0.5;
/** Droop and voltage may be anything of this order. */
const anyMv = 300;
/** The means of droop and reading are free, and leave so many readings fewer to tell the scatter. */
const freeMeans = 2;
/** Fewer settings that were read leave the droop unknown. */
const leastPairs = 2;
/** Of those placed no more than the newest count. */
const mostPlaced = 100;

/**
 * Places attempts on automatic voltage by what was read under load plus the droop that settings of the same build, load,
 * place of reading and load-line showed. Nothing is placed without a reading, its place, a clock and two such settings.
 * Droop is a line over current, which for one load goes as voltage times clock; deviations are widened as few readings ask
 * (Student's t at 90 %). One that would stand where no voltage can be set is left out.
 */
export function placedByReading(
  automatic: readonly OnAutomatic[],
  runs: readonly ElectricalRun[],
): PlacedAttempt[] {
  const wanted = automatic.filter(({ row }) => isRead(row)).slice(-mostPlaced);
  if (wanted.length === 0) return [];
  const pairs = groupedBy(
    runs.filter((run) => keptRunning(run) && run.voltageReadAt !== null && droopMv(run) !== null),
    (run) => nameOf(run, run.loadLine),
  );
  return [...groupedBy(wanted, ({ row, loadLine }) => nameOf(row, loadLine))].flatMap(([name, group]) => {
    const read = pairs.get(name) ?? [];
    return read.length < leastPairs ? [] : placedBy(read, group, name);
  });
}

const isRead = (row: TriedRow): boolean =>
  row.voltageMv === null &&
  row.clockMhz !== null &&
  row.offset === null &&
  row.offsets === null &&
  row.loadVoltageMv !== null &&
  row.voltageReadAt !== null &&
  !neverStarted(row.outcome);

const nameOf = (
  { workloadId, voltageReadAt }: Pick<TriedRow, "workloadId" | "voltageReadAt">,
  loadLine: string | null,
): string => JSON.stringify([workloadId, voltageReadAt, loadLine]);

/** What a load draws goes as this, up to a factor. */
const currentAt = (clockMhz: number, voltageMv: number): number => clockMhz * voltageMv;

/**
 * Two lines with one scatter of the readings: droop over current, of the settings that were read, and what was read over the
 * logarithm of the clock, on automatic voltage. Their sum at a clock is the voltage given; a reading's own word counts as
 * far as the firmware strays at one clock. Taken wholly at its word it would make the limit look as though voltage did not
 * matter (regression calibration: Carroll et al., Measurement Error in Nonlinear Models, 2nd ed., chapter 4).
 */
function placedBy(
  pairs: readonly ElectricalRun[],
  group: readonly OnAutomatic[],
  name: string,
): PlacedAttempt[] {
  const rows = group.map(({ row }) => row);
  const readMv = meanOf(rows.map(({ loadVoltageMv }) => loadVoltageMv!));
  const middle = meanOf(rows.map(({ clockMhz }) => Math.log(clockMhz!)));
  const current = meanOf(pairs.map((run) => currentAt(run.clockMhz, run.voltageMv)));
  const shareOver = (clockMhz: number, voltageMv: number): number =>
    currentAt(clockMhz, voltageMv) / current - 1;
  const overMiddle = ({ clockMhz }: TriedRow): number => Math.log(clockMhz!) - middle;
  const variance = usualReadingMv ** 2;
  const lines = priorRegressionOf(
    [
      ...pairs.map((run) => ({
        ...{ x: [1, shareOver(run.clockMhz, run.voltageMv), 0, 0], y: droopMv(run)!, variance },
      })),
      ...rows.map((row) => ({
        ...{ x: [0, 0, 1, overMiddle(row)], y: row.loadVoltageMv! - readMv, variance },
      })),
    ],
    {
      mean: [0, usualPerCurrentMv, 0, usualRise * readMv],
      sd: [anyMv, usualPerCurrentMv, anyMv, usualRise * readMv],
      noiseFreedom: guessCounts,
    },
  );
  if (lines === undefined) return [];
  const freedom = lines.degreesOfFreedom - freeMeans;
  const unbiased = Math.sqrt(lines.degreesOfFreedom / freedom);
  const scatterMv = unbiased * lines.prediction([0, 0, 0, 0], variance).scale;
  const own = usualStraysMv ** 2 / (usualStraysMv ** 2 + scatterMv ** 2);
  const wider = studentQuantile(0.95, freedom)! / normalQuantile(0.95)!;
  return rows.flatMap((row): PlacedAttempt[] => {
    const read = lines.prediction([0, 0, 1, overMiddle(row)], 0).mid;
    const aboutMv = readMv + read + lines.coefficients[0]!;
    const given = lines.prediction([1, shareOver(row.clockMhz!, aboutMv), 1, overMiddle(row)], 0);
    const setMv = readMv + given.mid + own * (row.loadVoltageMv! - readMv - read);
    if (!voltageMv.safeParse(setMv).success) return [];
    return [
      {
        row: { ...row, voltageMv: Math.round(setMv) } as EvidenceRow,
        readDeviationMv: wider * Math.sqrt(own) * scatterMv,
        droopDeviationMv: wider * unbiased * given.scale,
        droop: name,
      },
    ];
  });
}

const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;
