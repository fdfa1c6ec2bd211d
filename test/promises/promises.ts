import { parseArgs } from "node:util";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { chipKinds, simulatedChip } from "../support/simulatedChip.ts";
import { coverageOf, stresses, withLaplace, withPlainMinutes } from "./coverage.ts";
import {
  type Bench,
  bisectionWithProof,
  climb,
  climbDown,
  isTooLow,
  isUnfit,
  meanOf,
  proposedMap,
  proposedUndervolt,
  proposedWalk,
  spareMv,
  warmClimbs,
} from "./walks.ts";

/**
 * The statistical promises on many simulated chips, as a table; ends with 1 where one is missed. `--chips N` takes
 * another number than 300, `--seed N` other chips, `--part "six voltages"` one part of the table alone: figures to quote come from chips that nothing was tuned on.
 */
const { values } = parseArgs({
  options: {
    chips: { type: "string", default: "300" },
    seed: { type: "string", default: "3000000" },
    part: { type: "string" },
  },
});
const chips = Number(values.chips);
const seed = Number(values.seed);
const mapped = Math.max(3, Math.round(chips / 5));

const benchOf = (index: number): Bench => ({
  chip: simulatedChip(chipKinds[index % 3]!, seededRandom(seed + index)),
  random: seededRandom(seed + 500_000 + index),
});
const over = <Result>(count: number, of: (bench: Bench) => Result): Result[] =>
  Array.from({ length: count }, (_, index) => of(benchOf(index)));

let missed = 0;
function row(promise: string, measured: string, goal: string, met: boolean | null): void {
  if (met === false) missed += 1;
  console.log(`| ${promise} | ${measured} | ${goal} | ${met === null ? "" : met ? "met" : "missed"} |`);
}
const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;

console.log(`| promise (${chips} chips, seed ${seed}) | measured | goal | |\n|---|---|---|---|`);
told("one voltage", oneVoltage);
told("lowest voltage", lowestVoltage);
told("six voltages", sixVoltages);
told("coverage", coverage);
if (missed > 0) process.exitCode = 1;

/** Says on the error stream how long each part took, so that a long run is seen to go on. */
function told(name: string, part: () => void): void {
  if (values.part !== undefined && values.part !== name) return;
  const startedAt = performance.now();
  process.stderr.write(`${name} ...\n`);
  part();
  process.stderr.write(`${name} took ${((performance.now() - startedAt) / 1000).toFixed(0)} s\n`);
}

function oneVoltage(): void {
  const walks = over(chips, (bench) => {
    const walk = proposedWalk(bench, 1250);
    return { ...walk, unfit: isUnfit(walk, bench.chip, 1250) };
  });
  const minutes = meanOf(walks.map((walk) => walk.minutes));
  const climbed = meanOf(over(chips, (bench) => climb(bench, 1250).minutes));
  const bisected = meanOf(over(chips, (bench) => bisectionWithProof(bench, 1250).minutes));
  const unfit = meanOf(walks.map((walk) => Number(walk.unfit)));
  const claimed = meanOf(walks.map((walk) => walk.claimed));
  const attempts = meanOf(walks.map((walk) => walk.attempts));
  const crashes = meanOf(walks.map((walk) => walk.crashes));
  row(
    "one voltage: minutes, attempts, crashes",
    `${minutes.toFixed(0)}, ${attempts.toFixed(1)}, ${crashes.toFixed(1)}`,
    "",
    null,
  );
  row(
    "one voltage over the climb",
    `${(minutes / climbed).toFixed(3)} of ${climbed.toFixed(0)} min`,
    "0.10",
    minutes <= 0.1 * climbed,
  );
  row(
    "one voltage over bisection with proof",
    `${(minutes / bisected).toFixed(2)} of ${bisected.toFixed(0)} min`,
    "0.75",
    minutes <= 0.75 * bisected,
  );
  row("one voltage: unfit answers", percent(unfit), "8 %", unfit <= 0.08);
  row(
    "one voltage: claimed chance, observed",
    `${percent(claimed)}, ${percent(1 - unfit)}`,
    "within 5 points",
    Math.abs(claimed - 1 + unfit) <= 0.05,
  );
}

function lowestVoltage(): void {
  const walks = over(chips, (bench) => {
    const walk = proposedUndervolt(bench);
    return { ...walk, low: isTooLow(walk, bench.chip), spare: spareMv(walk, bench.chip) };
  });
  const climbs = over(chips, (bench) => {
    const walk = climbDown(bench);
    return { ...walk, low: isTooLow(walk, bench.chip) };
  });
  const minutes = meanOf(walks.map((walk) => walk.minutes));
  const climbed = meanOf(climbs.map((walk) => walk.minutes));
  const low = meanOf(walks.map((walk) => Number(walk.low)));
  const claimed = meanOf(walks.map((walk) => walk.claimed));
  row(
    "lowest voltage for a clock: minutes, attempts, mV to spare",
    `${minutes.toFixed(0)}, ${meanOf(walks.map((walk) => walk.attempts)).toFixed(1)}, ${meanOf(walks.map((walk) => walk.spare)).toFixed(0)}`,
    "",
    null,
  );
  row(
    "lowest voltage over the climb down",
    `${(minutes / climbed).toFixed(3)} of ${climbed.toFixed(0)} min`,
    "0.125",
    minutes <= climbed / 8,
  );
  row(
    "lowest voltage: unfit answers",
    `${percent(low)} (climbs ${percent(meanOf(climbs.map((walk) => Number(walk.low))))})`,
    "8 %",
    low <= 0.08,
  );
  row(
    "lowest voltage: claimed chance, observed",
    `${percent(claimed)}, ${percent(1 - low)}`,
    "within 5 points",
    Math.abs(claimed - 1 + low) <= 0.05,
  );
}

function sixVoltages(): void {
  const maps = over(mapped, proposedMap);
  const climbs = over(mapped, warmClimbs);
  const minutes = meanOf(maps.map((map) => map.minutes));
  const climbed = meanOf(climbs.map((walk) => walk.minutes));
  const within = meanOf(maps.map((map) => map.withinOneStep));
  const covered = meanOf(maps.map((map) => map.covered));
  row(
    `six voltages over warm climbs (${mapped} chips)`,
    `${(minutes / climbed).toFixed(3)} (${minutes.toFixed(0)} of ${climbed.toFixed(0)} min)`,
    "0.10",
    minutes <= 0.1 * climbed,
  );
  row(
    "six voltages: within one step",
    `${percent(within)} (climbs ${percent(meanOf(climbs.map((walk) => walk.withinOneStep)))})`,
    "92 %",
    within >= 0.92,
  );
  row("six voltages: 90 % band holds the truth", percent(covered), "87 %", covered >= 0.87);
}

function coverage(): void {
  for (const attempts of [6, 10, 15]) {
    const found = coverageOf({ chips, attempts, seed });
    row(
      `limit after ${attempts} attempts, width ${found.widthMhz.toFixed(0)} MHz`,
      percent(found.limit),
      "87 %",
      found.limit >= 0.87,
    );
    row(
      `voltage for a clock after ${attempts} attempts`,
      percent(found.voltage),
      "87 %",
      found.voltage >= 0.87,
    );
  }
  for (const [name, stress] of Object.entries(stresses)) {
    const found = coverageOf({ chips: Math.ceil(chips / 2), attempts: 10, seed, ...stress });
    row(`limit after 10 attempts, ${name}`, percent(found.limit), "85 %", found.limit >= 0.85);
  }
  const soft = over(Math.ceil(chips / 3), (bench) => {
    const chip = { ...bench.chip, softnessMhz: 3 * bench.chip.softnessMhz };
    return isUnfit(proposedWalk({ ...bench, chip }, 1250), chip, 1250);
  });
  row(
    "one voltage on a limit 3 times as soft: unfit answers, each stopped when its own record looked sharp",
    percent(meanOf(soft.map(Number))),
    "",
    null,
  );
  const plain = coverageOf({ chips: Math.ceil(chips / 2), attempts: 10, seed, fit: withPlainMinutes });
  const laplace = coverageOf({ chips: Math.ceil(chips / 2), attempts: 10, seed, fit: withLaplace });
  row("for comparison: plain minutes, 10 attempts", percent(plain.limit), "", null);
  row("for comparison: a normal at the mode, 10 attempts", percent(laplace.limit), "", null);
}
