import { fitOf, type LimitContext, limitGroundsOf } from "../../server/bench/limit/limitFit.ts";
import { clocksAtHazard, limitDrawsOf } from "../../server/bench/limit/limitReach.ts";
import { placedByReading } from "../../server/bench/power/placedByReading.ts";
import type { ElectricalRun } from "../../server/bench/runs/electricalRun.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { weightedQuantilesOf } from "../../server/numerics/weightedQuantiles.ts";
import type { Subject } from "../support/subject.ts";
import { benchOf, type Simulator } from "./subjects.ts";
import { hazard, questionFor } from "./walks.ts";

/** A build tried at set voltages, some of them read, and on automatic voltage with every load voltage read. */
export type ReadRecord = Readonly<{
  /** The attempts on automatic voltage placed with both uncertainties. */
  context: LimitContext;
  /** Left out. */
  without: LimitContext;
  /** Placed as though the droop were known. */
  droopKnown: LimitContext;
  /** At the voltages that the firmware truly gave. */
  given: LimitContext;
  /** Another build of the chip, of which three attempts are its own, taught by all else with those placed, and without. */
  taught: LimitContext;
  taughtWithout: LimitContext;
  truthMhz: number;
  voltageMv: number;
}>;

export type ReadCase = Readonly<{
  seed: number;
  simulator: Simulator;
  /** A reading lies so far off each time, the median over supplies; 6 mV where nothing is said. */
  scatterMv?: number;
  /** So many set by hand, of them read, and on automatic voltage; drawn from 5 to 10, 2 to 4 and 5 to 10 where nothing is said. */
  counts?: readonly [byHand: number, read: number, automatic: number];
  /** Those set by hand lie so far under the limit, give or take 60 MHz; about it where nothing is said. */
  underMhz?: number;
}>;

/** A supply of its own: how far it droops at the stock current, how far its reading lies off always, and each time. */
type Supply = Readonly<{ perCurrentMv: number; biasMv: number; scatterMv: number }>;

const supplyFrom = (random: SeededRandom, scatterMv: number): Supply => ({
  perCurrentMv: random.uniformIn(15, 90),
  biasMv: 10 * random.normal(),
  scatterMv: scatterMv * Math.exp(0.4 * random.normal()),
});

export function readRecord(index: number, asked: ReadCase): ReadRecord {
  const { seed, simulator, scatterMv = 6, underMhz = 0 } = asked;
  const { subject } = benchOf(seed, index, "broad", simulator);
  const random = seededRandom(seed + 700_000 + index);
  const supply = supplyFrom(random, scatterMv);
  const [byHand, read, onAutomatic] = asked.counts ?? [
    5 + random.index(6),
    2 + random.index(3),
    5 + random.index(6),
  ];
  const rows = Array.from({ length: byHand }, () => setByHand(subject, random, underMhz));
  const ran = rows.flatMap((row, i) => (row.outcome === "pass" ? [i] : []));
  const readRows = rows.map((row, i) =>
    ran.slice(0, read).includes(i) ? withReading(row, subject, supply, random) : row,
  );
  const firmware = firmwareFrom(random);
  const automatic = Array.from({ length: onAutomatic }, () => {
    const row = withReading(onFirmware(subject, firmware, random), subject, supply, random);
    return { given: row, row: { ...row, voltageMv: null }, loadLine: null };
  });
  const placed = placedByReading(automatic, readRows.map(asRun));
  const plain = questionFor(subject, readRows, 1);
  const { voltageMv } = subject.stock;
  const own = { ...plain, rows: readRows.slice(-ownOfTaught) };
  const shelf = { name: "Shelf", rows: readRows.slice(0, -ownOfTaught) };
  return {
    taught: { ...own, otherBuilds: [{ ...shelf, placed }] },
    taughtWithout: { ...own, otherBuilds: [shelf] },
    context: { ...plain, placed },
    without: plain,
    droopKnown: { ...plain, placed: placed.map((one) => ({ ...one, droopDeviationMv: 0 })) },
    given: {
      ...plain,
      rows: [
        ...readRows,
        ...automatic.filter(({ row }) => row.outcome !== "no-start").map(({ given }) => given),
      ],
    },
    truthMhz: subject.clockAt(voltageMv, hazard),
    voltageMv,
  };
}

const ownOfTaught = 3;

/** About the limit at some voltage about stock. */
function setByHand(subject: Subject, random: SeededRandom, underMhz: number): EvidenceRow {
  const voltageMv = Math.round(subject.stock.voltageMv * random.uniformIn(0.96, 1.06));
  const clockMhz =
    25 * Math.round((subject.clockAt(voltageMv, hazard) - underMhz + 60 * random.normal()) / 25);
  return subject.ran({ clockMhz, voltageMv, minutes: [10, 20, 60][random.index(3)]! }, random).row;
}

/** The voltage that a board's firmware gives a clock: over stock at the stock clock, and rising with the clock by so much of it. */
type Firmware = Readonly<{ over: number; rise: number }>;

const firmwareFrom = (random: SeededRandom): Firmware => ({
  over: random.uniformIn(-0.03, 0.03),
  rise: random.uniformIn(0.2, 0.6),
});

/** About where the limit crosses what the firmware gives. */
function onFirmware(subject: Subject, { over, rise }: Firmware, random: SeededRandom): EvidenceRow {
  const { stock } = subject;
  const given = (clockMhz: number): number =>
    stock.voltageMv * (1 + over) * (clockMhz / stock.clockMhz) ** rise;
  let crossingMhz = stock.clockMhz;
  for (let step = 0; step < 12; step++) crossingMhz = subject.clockAt(given(crossingMhz), hazard);
  const clockMhz = 25 * Math.round((crossingMhz + 60 * random.normal()) / 25);
  const voltageMv = given(clockMhz) + 2 * random.normal();
  return subject.ran({ clockMhz, voltageMv, minutes: [10, 20, 60][random.index(3)]! }, random).row;
}

function withReading(
  row: EvidenceRow,
  { stock }: Subject,
  supply: Supply,
  random: SeededRandom,
): EvidenceRow {
  if (row.outcome === "no-start") return row;
  const current = (row.clockMhz * row.voltageMv) / (stock.clockMhz * stock.voltageMv);
  const readMv =
    row.voltageMv - supply.perCurrentMv * current + supply.biasMv + supply.scatterMv * random.normal();
  return { ...row, loadVoltageMv: Math.round(readMv), voltageReadAt: "board" };
}

const asRun = (row: EvidenceRow): ElectricalRun => ({ ...row, loadLine: null, currentA: null, score: null });

/** Few set by hand, all far under the limit, two of them read coarsely, and many on automatic voltage: all hangs on the droop. */
export const hangsOnDroop = { scatterMv: 25, counts: [3, 2, 14], underMhz: 150 } as const;

export type Banded = Readonly<{ held: boolean; widthMhz: number }>;

/** Whether the 90 % band of the limit at the stock voltage holds the truth. */
export function bandOfRead(context: LimitContext, { truthMhz, voltageMv }: ReadRecord): Banded {
  const fit = fitOf(limitGroundsOf(context)!, 1);
  const draws = limitDrawsOf(fit, fit.draws, "all-core");
  const clocks = clocksAtHazard(draws, voltageMv, hazard);
  const [low, high] = weightedQuantilesOf(clocks, draws.weights, [0.05, 0.95]) as [number, number];
  return { held: low <= truthMhz && truthMhz <= high, widthMhz: high - low };
}
