import { expect, it } from "vitest";
import { csvRecords } from "../../server/csv/csvRecords.ts";
import { benchDay } from "./benchDay.ts";

const day = benchDay();

it("a bench day is the same for the same seed, and another for another", () => {
  expect(benchDay()).toEqual(day);
  expect(benchDay({ seed: 2 }).csv).not.toBe(day.csv);
});

it("a bench day tells the line of every attempt, good and bad", () => {
  const records = new Map([...csvRecords(day.csv, ",")].map(({ line, cells }) => [line, cells]));
  expect(day.good).toHaveLength(40);
  expect(day.bad.map(({ field }) => field)).toEqual([
    "clockMhz",
    "voltageMv",
    "outcome",
    "voltageMv",
    "durationS",
  ]);
  for (const { line, clockMhz, voltageMv, note } of day.good) {
    const cells = records.get(line) ?? [];
    expect(Math.round(Number(cells[2]) * 1000)).toBe(clockMhz);
    expect(Math.round(Number(cells[4]) * 10_000) / 10).toBe(voltageMv);
    expect(cells[3]).toBe(note);
  }
  const lines = [...day.good, ...day.bad].map(({ line }) => line);
  expect(new Set(lines).size).toBe(45);
});

it("a bench day has passes, crashes and quoted remarks", () => {
  const outcomes = day.good.map(({ outcome }) => outcome);
  expect(new Set(outcomes).size).toBeGreaterThan(3);
  expect(day.good.some(({ note }) => note.includes('"'))).toBe(true);
});

it("a bench day may be written with decimal commas between semicolons", () => {
  const other = benchDay({ decimalComma: true });
  expect(other.good).toEqual(day.good);
  expect(other.csv.split("\r\n")[1]).toMatch(/;\d,\d{3};/);
});
