import {
  fitOf,
  type LimitFit,
  type LimitGrounds,
  limitGroundsOf,
} from "../../server/bench/limit/limitFit.ts";
import { chanceOfHours, clocksAtHazard, limitDrawsOf } from "../../server/bench/limit/limitReach.ts";
import { usualBenchCosts } from "../../server/bench/next/benchCosts.ts";
import { trialForecastsOf } from "../../server/bench/next/trialForecast.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { weightedQuantilesOf } from "../../server/numerics/weightedQuantiles.ts";
import { harshHeat, otherChip, otherSubject, turningHeat } from "../support/otherChip.ts";
import { chipKinds, simulatedChip, simulatedSubject } from "../support/simulatedChip.ts";
import type { Subject } from "../support/subject.ts";
import { logScores, meanOf, percent, shareOf, told } from "./statistics.ts";
import type { Table } from "./table.ts";
import { hazard, questionFor, stepMhz } from "./walks.ts";

/** What heat does to a chip at 0.72 of its stock voltage: costs as much as at stock, about nothing, or gives clock. */
const lowHeats = ["costs", "costs nothing", "gives"] as const;
export type LowHeat = (typeof lowHeats)[number];

type LowBench = Readonly<{ inRoom: (roomC: number) => Subject; random: SeededRandom }>;

function lowBenchOf(seed: number, index: number, heat: LowHeat): LowBench {
  const random = seededRandom(seed + index);
  if (heat === "costs") {
    const chip = simulatedChip(chipKinds[index % chipKinds.length]!, random);
    const softnessMhz = (14 * Math.exp(0.5 * random.normal()) * chip.limitMhz) / 5200;
    return { random, inRoom: (roomC) => simulatedSubject({ ...chip, softnessMhz, roomC }) };
  }
  const turning = heat === "gives" ? { ...harshHeat(random), ...turningHeat(random) } : {};
  const chip = otherChip(random, turning);
  return { random, inRoom: (roomC) => otherSubject({ ...chip, roomC }) };
}

const sharesOfStock = [0.72, 0.72, 0.76, 0.8, 0.88, 1] as const;
const minutesOfRuns = [10, 20, 60] as const;
const usualRoomC = 23;
/** Rooms lie so far about the usual one, a cellar in winter and an attic in summer. */
const roomSwingC = 10;
const attempts = 14;
const foretoldEach = 12;

type Run = Readonly<{ row: EvidenceRow; minutes: number; roomC: number }>;

/** One run near the limit of its room. */
function runOf({ inRoom, random }: LowBench, share: number, spreadMhz: number): Run {
  const roomC = usualRoomC + roomSwingC * (2 * random.uniform() - 1);
  const subject = inRoom(roomC);
  const voltageMv = Math.round(share * subject.stock.voltageMv);
  const limitMhz = subject.clockAt(voltageMv, hazard);
  const clockMhz = stepMhz * Math.round((limitMhz + spreadMhz * random.normal()) / stepMhz);
  const minutes = minutesOfRuns[random.index(minutesOfRuns.length)]!;
  return { row: subject.ran({ clockMhz, voltageMv, minutes }, random).row, minutes, roomC };
}

/** How a fit stands to what came and to the truth of one chip, at the lowest voltage. */
type Stood = Readonly<{
  foretold: readonly Readonly<{ chance: number; passed: boolean }>[];
  rooms: readonly Readonly<{ held: boolean; underMhz: number; hourPasses: number }>[];
}>;

export type LowVoltageRecord = Readonly<{ turning: Stood; straight: Stood }>;

/** One chip tried in rooms that differ, fitted with heat that may turn and as though it could not. */
export function lowVoltageRecord(seed: number, index: number, heat: LowHeat): LowVoltageRecord {
  const bench = lowBenchOf(seed, index, heat);
  const rows = Array.from(
    { length: attempts },
    () => runOf(bench, sharesOfStock[bench.random.index(sharesOfStock.length)]!, 80).row,
  );
  const ahead = Array.from({ length: foretoldEach }, () => runOf(bench, sharesOfStock[0], 40));
  const grounds = limitGroundsOf(questionFor(bench.inRoom(usualRoomC), rows, 1))!;
  const stood = (of: LimitGrounds): Stood => {
    const fit = fitOf(of, 1);
    return { foretold: ahead.map((run) => foretoldBy(fit, run)), rooms: rooms.map(inRoomBy(fit, bench)) };
  };
  return {
    turning: stood(grounds),
    straight: stood({ ...grounds, frame: { ...grounds.frame, heatTurns: false } }),
  };
}

function foretoldBy(fit: LimitFit, { row, minutes, roomC }: Run) {
  const draws = limitDrawsOf(fit, fit.draws, "all-core", row.ambientC ?? roomC);
  const [forecast] = trialForecastsOf(draws, row, [minutes], usualBenchCosts);
  const chance = Math.min(0.999, Math.max(0.001, forecast!.chanceOfPass));
  return { chance, passed: row.outcome === "pass" };
}

const rooms = [usualRoomC - roomSwingC, usualRoomC + roomSwingC] as const;

/** In one room: whether the 90 % band holds the limit, and the answer, the highest clock whose hour passes 95 in 100. */
const inRoomBy =
  (fit: LimitFit, { inRoom }: LowBench) =>
  (roomC: number) => {
    const subject = inRoom(roomC);
    const voltageMv = Math.round(sharesOfStock[0] * subject.stock.voltageMv);
    const draws = limitDrawsOf(fit, fit.draws, "all-core", roomC);
    const truthMhz = subject.clockAt(voltageMv, hazard);
    const [low, high] = weightedQuantilesOf(
      clocksAtHazard(draws, voltageMv, hazard),
      draws.weights,
      [0.05, 0.95],
    ) as [number, number];
    let clockMhz = stepMhz * Math.floor(truthMhz / stepMhz) + 16 * stepMhz;
    while (clockMhz > 500 && chanceOfHours(draws, { clockMhz, voltageMv }, 1) < 0.95) clockMhz -= stepMhz;
    return {
      held: low <= truthMhz && truthMhz <= high,
      underMhz: truthMhz - clockMhz,
      hourPasses: Math.exp(-60 * subject.hazardAt(clockMhz, voltageMv)),
    };
  };

const scoreOf = ({ foretold }: Stood): number => logScores(foretold).forecast;

/** By how much the forecasts of each chip gained, in logarithms of their chances. */
export const gainsOf = (records: readonly LowVoltageRecord[]): number[] =>
  records.map(({ turning, straight }) => scoreOf(turning) - scoreOf(straight));

export const hoursOf = (records: readonly LowVoltageRecord[], of: keyof LowVoltageRecord): number[] =>
  records.flatMap((record) => record[of].rooms.map(({ hourPasses }) => hourPasses));

export function lowVoltageParts(
  table: Table,
  { seed, chips }: Readonly<{ seed: number; chips: number }>,
): void {
  for (const heat of lowHeats) {
    const records = Array.from({ length: chips }, (_, index) => lowVoltageRecord(seed, index, heat));
    const name = `at 0.72 of the stock voltage, where heat ${heat}`;
    const gain = meanOf(gainsOf(records));
    table.promise(
      `${name}: log score gained by heat that may turn`,
      told(gain, 3),
      heat === "costs" ? "worse by at most 0.02" : "better",
      heat === "costs" ? gain.mean > -0.02 : gain.mean > 0,
    );
    for (const of of ["turning", "straight"] as const) {
      const all = records.flatMap((record) => record[of].rooms);
      table.figure(
        `${name}: ${of === "turning" ? "as it is" : "as though it could not turn"}`,
        [
          `band holds ${percent(shareOf(all, ({ held }) => held))}`,
          `${told(meanOf(all.map(({ underMhz }) => underMhz)))} MHz under`,
          `unfit ${percent(shareOf(all, ({ underMhz }) => underMhz < 0))}`,
          `hours ${percent(meanOf(hoursOf(records, of)))}`,
        ].join(", "),
      );
    }
  }
}
