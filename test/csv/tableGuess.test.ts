import { describe, expect, it } from "vitest";
import { usualLogLimits } from "../../server/bench/logs/logLimits.ts";
import { logShapeOf } from "../../server/csv/logShape.ts";
import { tableGuessOf } from "../../server/csv/tableGuess.ts";

const rows = Array.from({ length: 6 }, (_, n) => `${n};${40 + n};${1200 - n}`);
const preamble = ["bench 2", "by hand; mostly", ""];

describe("tableGuessOf", () => {
  it("takes the line of names above the lines that come apart alike", () => {
    const lines = [...preamble, "time;temp 1;fan", ...rows];
    expect(tableGuessOf(lines)).toEqual({ separator: ";", headerAt: 4 });
  });

  it("takes the sign that leaves more cells where several take as many lines apart", () => {
    const lines = rows.map((row) => `${row};1,5`);
    expect(tableGuessOf(lines)?.separator).toBe(";");
    expect(
      tableGuessOf(lines.map((line) => line.replace(/[;,]/g, (sign) => (sign === ";" ? "," : ";")))),
    ).toEqual({ separator: ",", headerAt: 0 });
  });

  it("counts from the first row where no line has names, and says nothing of words or too few rows", () => {
    expect(tableGuessOf([...preamble, ...rows])).toEqual({ separator: ";", headerAt: 0 });
    expect(tableGuessOf(["just words", "and more words", "and more", "and more"])).toBeUndefined();
    expect(tableGuessOf(rows.slice(0, 3))).toBeUndefined();
  });
});

describe("logShapeOf where a table was told", () => {
  it("takes the names from the line that was told, however deep it lies", () => {
    const deep = [...Array.from({ length: 90 }, (_, n) => `remark ${n}, ${n}`), "time;temp 1;fan", ...rows];
    const shape = logShapeOf(deep, usualLogLimits, { separator: ";", headerAt: 91 });
    expect(shape).toMatchObject({ names: ["time", "temp 1", "fan"], headerAt: 91, separator: ";" });
    expect(shape.columns.map(({ numbers }) => numbers[1])).toEqual([1, 41, 1199]);
    const first = logShapeOf(["time;temp 1;fan", ...rows], usualLogLimits, { separator: ";", headerAt: 1 });
    expect(first).toMatchObject({ names: ["time", "temp 1", "fan"], headerAt: 1 });
  });

  it("makes names up where none has them, and refuses a line that does not come apart", () => {
    const shape = logShapeOf([...preamble, ...rows], usualLogLimits, { separator: ";", headerAt: 0 });
    expect(shape.names).toEqual(["column 1", "column 2", "column 3"]);
    const talk = Array.from({ length: 9 }, () => "said; by hand");
    const among = logShapeOf([...talk, ...rows], usualLogLimits, { separator: ";", headerAt: 0 });
    expect(among.names).toHaveLength(3);
    expect(() => logShapeOf(rows, usualLogLimits, { separator: "|", headerAt: 1 })).toThrow(
      "Line 1 taken apart at pipes gives one cell; at least two are needed.",
    );
    expect(() => logShapeOf(rows, usualLogLimits, { separator: ";", headerAt: 6 })).toThrow(
      "Only the first 6 lines are looked at",
    );
  });
});

describe("logShapeOf where units stand under the names", () => {
  it("makes both one header, and leaves a name without a unit as it is", () => {
    const units = [
      "Time,Temp,Remark,Fan",
      "[s],(°C),,rpm",
      ...rows.map((row) => `${row.replaceAll(";", ",")},900`),
    ];
    expect(logShapeOf(units, usualLogLimits).names).toEqual(["Time [s]", "Temp [°C]", "Remark", "Fan [rpm]"]);
  });
});

describe("logShapeOf where rows have a cell more than the header", () => {
  const namesOf = (header: string, row: (n: number) => string) =>
    logShapeOf([header, ...Array.from({ length: 6 }, (_, n) => row(n))], usualLogLimits).names;

  it("leaves the label or the count in front without a name, else the last cell, and a time wherever it stands", () => {
    expect(namesOf("Temp,Fan", (n) => `bench,${40 + n},${1200 + n}`)).toEqual(["", "Temp", "Fan"]);
    expect(namesOf("Temp,Fan", (n) => `${7 + n},${40 + n},${1200 - 3 * n}`)).toEqual(["", "Temp", "Fan"]);
    expect(namesOf("Temp,Fan", (n) => `${40 + (n % 3)},${1200 + n},${3 * n}`)).toEqual(["Temp", "Fan", ""]);
    expect(namesOf("Bench,Temp", (n) => `north,${40 + n},12:00:0${n}`)).toEqual(["Bench", "Temp", ""]);
    expect(namesOf("Bench,Temp", (n) => `12:00:0${n},${40 + n},12:00:0${n}`)).toEqual(["", "Bench", "Temp"]);
  });

  it("leaves a time that is called one its name, unless what stands under it then runs on as well", () => {
    const warm = (n: number) => 45 - (n % 3);
    expect(namesOf("Time,Temp", (n) => `12:00:0${n},${warm(n)},1200`)).toEqual(["Time", "Temp", ""]);
    expect(namesOf("Time,Temp", (n) => `${n},${warm(n)},1200`)).toEqual(["Time", "Temp", ""]);
    expect(namesOf("Time,Temp", (n) => `${n},${0.5 * n},${warm(n)}`)).toEqual(["", "Time", "Temp"]);
    expect(namesOf("Time,Temp", (n) => `12:00:0${n},${0.5 * n},${warm(n)}`)).toEqual(["", "Time", "Temp"]);
    expect(namesOf("Time,Temp", (n) => `row,12:00:0${n},${warm(n)}`)).toEqual(["", "Time", "Temp"]);
    expect(namesOf("Time,Temp", (n) => `${n},1200,${warm(n)}`)).toEqual(["Time", "Temp", ""]);
    expect(namesOf("Zeit;Temp", (n) => `12:00:0${n};${warm(n)},5;1200`)).toEqual(["Zeit", "Temp", ""]);
    expect(namesOf("Zeit;Temp", (n) => `${n};${n},5;${warm(n)},5`)).toEqual(["", "Zeit", "Temp"]);
  });
});
