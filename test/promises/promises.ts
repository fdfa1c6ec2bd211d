import { tmpdir } from "node:os";
import path from "node:path";
import { parseArgs } from "node:util";
import { alongOffset } from "./alongOffset.ts";
import { alikeParts, clockParts } from "./clockParts.ts";
import { coverageParts } from "./coverageParts.ts";
import { errorParts } from "./errorParts.ts";
import { heatElsewhereParts, heatParts } from "./heatParts.ts";
import { knobParts } from "./knobParts.ts";
import { lowVoltageParts } from "./lowVoltage.ts";
import { nextBoard } from "./nextBoard.ts";
import { harshGoals, oneVoltage } from "./oneVoltage.ts";
import { lowestVoltage, sixVoltages } from "./otherSearches.ts";
import { powerParts } from "./powerParts.ts";
import { readingParts } from "./readingParts.ts";
import { strays } from "./strays.ts";
import { populations, simulators } from "./subjects.ts";
import { Table } from "./table.ts";
import { taught } from "./taught.ts";

/**
 * The statistical promises on many simulated chips, as a table; ends with 1 where one is missed. Each part is some minutes
 * of work and runs alone with `--part "broad first"`; without, all run. `--chips N` takes another number of chips,
 * `--seed N` others: figures to quote come from chips that nothing was tuned on. How the rules stand to one another is drawn
 * as an SVG for each population and simulator, in the temporary folder or in `--pictures FOLDER`, and where is said.
 */
const { values } = parseArgs({
  options: {
    chips: { type: "string" },
    seed: { type: "string", default: "3000000" },
    part: { type: "string" },
    pictures: { type: "string", default: path.join(tmpdir(), "rungbook-promises") },
  },
});

const seed = Number(values.seed);
const chipsOf = (usual: number): number => (values.chips === undefined ? usual : Number(values.chips));
const table = new Table();

const parts: Record<string, () => void> = {};
for (const simulator of simulators) {
  for (const population of populations)
    parts[`${population} ${simulator}`] = () =>
      oneVoltage(table, {
        ...{ simulator, population, seed },
        chips: chipsOf(population === "broad" ? 400 : 200),
        pictures: values.pictures,
      });
  parts[`lowest voltage ${simulator}`] = () => lowestVoltage(table, { simulator, seed, chips: chipsOf(200) });
  parts[`six voltages ${simulator}`] = () => sixVoltages(table, { simulator, seed, chips: chipsOf(40) });
  parts[`taught ${simulator}`] = () => taught(table, { simulator, seed, chips: chipsOf(200) });
  parts[`strays ${simulator}`] = () => strays(table, { simulator, seed, chips: chipsOf(200) });
  parts[`next board ${simulator}`] = () => nextBoard(table, { simulator, seed, chips: chipsOf(200) });
  parts[`clocks ${simulator}`] = () => clockParts(table, { simulator, seed, pairs: chipsOf(300) });
  parts[`alike ${simulator}`] = () => alikeParts(table, { simulator, seed, pairs: chipsOf(1000) });
  parts[`coverage ${simulator}`] = () => coverageParts(table, { simulator, seed, chips: chipsOf(300) });
}

parts.errors = () => {
  for (const simulator of simulators) errorParts(table, { simulator, seed, chips: chipsOf(100) });
};
parts.offset = () => {
  for (const simulator of simulators) alongOffset(table, { simulator, seed, chips: chipsOf(200) });
};
parts.knobs = () => knobParts(table, { seed, chips: chipsOf(200) });
parts.readings = () => readingParts(table, { seed, chips: chipsOf(200) });
parts["low voltage"] = () => lowVoltageParts(table, { seed, chips: chipsOf(60) });
parts.power = () => powerParts(table, { builds: chipsOf(400), seed });
parts["harsh heat"] = () =>
  oneVoltage(table, {
    simulator: "harsh",
    population: "broad",
    seed,
    chips: chipsOf(200),
    goals: harshGoals,
  });
parts["heat elsewhere"] = () => heatElsewhereParts(table, { builds: chipsOf(600), seed });
parts.heat = () => heatParts(table, { runs: chipsOf(1200), seed });

const asked = Object.keys(parts).filter((name) => values.part === undefined || name === values.part);
if (asked.length === 0) {
  console.error(`No such part. There are: ${Object.keys(parts).join(", ")}.`);
  process.exit(2);
}
table.begin(seed);
for (const name of asked) {
  const startedAt = performance.now();
  process.stderr.write(`${name} ...\n`);
  parts[name]!();
  process.stderr.write(`${name} took ${((performance.now() - startedAt) / 1000).toFixed(0)} s\n`);
}
if (table.missed > 0) process.exitCode = 1;
