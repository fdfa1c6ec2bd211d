import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import type { Measured, Measurement } from "./measurement.ts";

/** A measurement may leave its ratio to be worked out, where less is better. */
type Found = Pick<Measured, "ours" | "reference" | "unit"> & Partial<Measured>;

const here = import.meta.dirname;
const { values } = parseArgs({ options: { only: { type: "string" } } });

const rows: string[][] = [["what", "ours", "reference", "ratio", "goal", "met"]];
let missed = 0;
for (const measurement of await wantedMeasurements(values.only)) {
  process.stderr.write(`${measurement.name} ...\n`);
  const row = await rowOf(measurement);
  missed += row.at(-1) === "yes" ? 0 : 1;
  rows.push(row);
}
console.log(table(rows));
process.exit(missed > 0 ? 1 : 0);

async function wantedMeasurements(only: string | undefined): Promise<readonly Measurement[]> {
  const all: Measurement[] = [];
  for (const name of readdirSync(here).sort()) {
    const file = path.join(here, name);
    // A file may also be a program of its own that a measurement starts: those are not run here.
    if (!name.endsWith(".ts") || !/^export const measurements\b/m.test(readFileSync(file, "utf8"))) continue;
    const module = (await import(pathToFileURL(file).href)) as { measurements: readonly Measurement[] };
    all.push(...module.measurements);
  }
  const wanted = only === undefined ? all : all.filter(({ name }) => name === only);
  if (wanted.length > 0) return wanted;
  console.error(`There is no measurement "${only}"; there are: ${all.map(({ name }) => name).join(", ")}.`);
  process.exit(2);
}

async function rowOf({ name, goal, run }: Measurement): Promise<string[]> {
  try {
    const found: Found = await run();
    const ratio = found.ratio ?? found.ours / found.reference;
    const met = found.met ?? (found.limit !== undefined && ratio <= found.limit);
    const told = [found.ours, found.reference].map((value) => `${digits(value)} ${found.unit}`);
    return [name, ...told, digits(ratio), goal, met ? "yes" : "NO"];
  } catch (error) {
    console.error(error);
    return [name, "-", "-", "-", goal, "FAILED"];
  }
}

function digits(value: number): string {
  return Math.abs(value) >= 100 ? value.toFixed(0) : value.toPrecision(3);
}

function table(lines: readonly string[][]): string {
  const widths = (lines[0] ?? []).map((_, column) =>
    Math.max(...lines.map((line) => line[column]?.length ?? 0)),
  );
  return lines
    .map((line) => line.map((cell, column) => cell.padEnd(widths[column] ?? 0)).join("  "))
    .join("\n");
}
