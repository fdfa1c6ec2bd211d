import { meanOf, percent, shareOf, told } from "./statistics.ts";
import { type Bench, benchOf, type Simulator } from "./subjects.ts";
import type { Table } from "./table.ts";
import { climbDown, hazard, proposedMap, proposedUndervolt, spareMv, stepMhz, warmClimbs } from "./walks.ts";

type Asked = Readonly<{ simulator: Simulator; seed: number; chips: number }>;

const benchesOf = ({ simulator, seed, chips }: Asked): Bench[] =>
  Array.from({ length: chips }, (_, index) => benchOf(seed, index, "broad", simulator));

export function lowestVoltage(table: Table, asked: Asked): void {
  const walks = benchesOf(asked).map((bench) => {
    const walk = proposedUndervolt(bench);
    return { ...walk, spare: walk.answer === null ? null : spareMv(bench, walk.answer) };
  });
  const spares = walks.flatMap(({ spare }) => spare ?? []);
  const climbs = benchesOf(asked).map((bench) => {
    const walk = climbDown(bench);
    return { ...walk, spare: spareMv(bench, walk.answer ?? Number.NaN) };
  });
  const minutes = meanOf(walks.map((walk) => walk.minutes));
  const crashes = meanOf(walks.map((walk) => walk.crashes));
  const unfit = shareOf(spares, (spare) => spare < 0);
  const name = `lowest voltage for a clock, ${asked.simulator} simulator`;
  table.promise(`${name}: mV to spare`, told(meanOf(spares), 1), "28", meanOf(spares).mean <= 28);
  table.promise(`${name}: minutes`, told(minutes), "75", minutes.mean <= 75);
  table.promise(`${name}: crashes`, told(crashes, 1), "3", crashes.mean <= 3);
  table.promise(`${name}: unfit answers`, percent(unfit), "8 %", unfit.mean <= 0.08);
  const endless = walks.length - spares.length;
  table.promise(`${name}: searches that never end`, `${endless} of ${walks.length}`, "0", endless === 0);
  table.figure(
    `${name}: the climb down with one-hour runs`,
    `${told(meanOf(climbs.map((walk) => walk.minutes)))} min, ${told(meanOf(climbs.map(({ spare }) => spare)), 1)} mV, ${percent(shareOf(climbs, ({ spare }) => spare < 0))} unfit`,
  );
}

type MapPoint = Readonly<{ underMhz: number; covered: boolean; steps: number }>;

export function sixVoltages(table: Table, asked: Asked): void {
  const maps = benchesOf(asked).map((bench) => {
    const walk = proposedMap(bench);
    const points = (walk.answer ?? []).map(({ voltageMv, clockMhz, lowMhz, highMhz }): MapPoint => {
      const truth = bench.subject.clockAt(voltageMv, hazard);
      const covered = lowMhz <= truth && truth <= highMhz;
      return { underMhz: truth - clockMhz, covered, steps: Math.floor((truth - clockMhz) / stepMhz) };
    });
    return { ...walk, points };
  });
  const points = maps.flatMap((map) => map.points);
  const minutes = meanOf(maps.map((map) => map.minutes));
  const crashes = meanOf(maps.map((map) => map.crashes));
  const within = shareOf(points, ({ steps }) => Math.abs(steps) <= 2);
  const covered = shareOf(points, (point) => point.covered);
  const name = `six voltages, ${asked.simulator} simulator`;
  table.promise(`${name}: minutes`, told(minutes), "400", minutes.mean <= 400);
  table.promise(`${name}: within two steps`, percent(within), "90 %", within.mean >= 0.9);
  table.promise(`${name}: 90 % band holds the truth`, percent(covered), "87 %", covered.mean >= 0.87);
  table.promise(`${name}: crashes`, told(crashes, 1), "12", crashes.mean <= 12);
  table.figure(
    `${name}: MHz under the truth, above it`,
    `${told(meanOf(points.map(({ underMhz }) => underMhz)), 1)}, ${percent(shareOf(points, ({ underMhz }) => underMhz < 0))}`,
  );
  const endless = maps.filter(({ answer }) => answer === null).length;
  table.promise(`${name}: maps that never end`, `${endless} of ${maps.length}`, "0", endless === 0);
  const climbs = benchesOf({ ...asked, chips: Math.ceil(asked.chips / 4) }).map((bench) => warmClimbs(bench));
  table.figure(
    `${name}: warm climbs with one-hour runs`,
    `${told(meanOf(climbs.map((walk) => walk.minutes)))} min`,
  );
}
