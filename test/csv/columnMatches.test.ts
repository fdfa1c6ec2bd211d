import { describe, expect, it } from "vitest";
import { columnMatchesFrom, headerKey } from "../../server/bench/logs/columnMatch.ts";
import { unitWritten } from "../../server/bench/logs/columnProposal.ts";
import { readLog } from "./readLog.ts";

const matched = async (header: string, row: string) => {
  const separator = header.includes(";") ? ";" : ",";
  const first = header.split(separator)[0] ?? "";
  const rows = Array.from({ length: 5 }, (_, at) => `${at}${separator}${row}`).join("\n");
  const { matches } = await readLog(`${header}\n${rows}\n`);
  return matches
    .filter(({ column }) => column !== first)
    .map(({ channel, unit }) => `${channel} ${unit}`.trim());
};

describe("columnsProposed", () => {
  it("tells channels by the words and units of a header", async () => {
    expect(
      await matched(
        "Time,CPU package [°C],VRM temperature (°C),Ambient °C,CPU package power [W],Core voltage [V],Core clock [MHz],CPU fan [RPM],CPU usage [%],Supply current [A],Thermal throttling",
        "61,70,22,140,1.2,4700,1200,99,80,0",
      ),
    ).toEqual([
      "temperature °C",
      "supply °C",
      "ambient °C",
      "power W",
      "voltage V",
      "clock MHz",
      "fan rpm",
      "load %",
      "current A",
      "throttle",
    ]);
  });

  it("gives a channel to the likeliest of several columns, and the rest their own names", async () => {
    expect(await matched("Time,Disk temp (°C),Core 1 temp (°C),Die temp (°C)", "30,60,64")).toEqual([
      "Disk temp (°C) °C",
      "Core 1 temp (°C) °C",
      "temperature °C",
    ]);
  });

  it("tells volts from millivolts and gigahertz from clockWords by size, where no unit is written", async () => {
    expect(await matched("Time,Temp,Vcore,Clock", "60,1.25,4.7")).toEqual([
      "temperature",
      "voltage V",
      "clock GHz",
    ]);
    expect(await matched("Time,Temp,Vcore,Clock", "60,1250,4700")).toEqual([
      "temperature",
      "voltage mV",
      "clock MHz",
    ]);
  });

  it("takes what is said of a board's supply for its temperature only where no current or power is meant", async () => {
    expect(await matched("Time,Supply current,VRM power,Power stage", "90,110,61")).toEqual([
      "current",
      "power",
      "supply",
    ]);
    expect(await matched("Time,VRM power [°C],Temp", "61,50")).toEqual(["supply °C", "temperature"]);
  });

  it("reads turns a minute behind a name", async () => {
    expect(await matched("Zeit,Lüfter U/min,Pump 1/min", "1200,2200")).toEqual(["fan rpm", "Pump 1/min rpm"]);
  });

  it("reads German headers", async () => {
    expect(
      await matched("Zeit;Temperatur [°C];Leistung [W];Takt [MHz];Drehzahl [U/min]", "60;100;4700;1200"),
    ).toEqual(["temperature °C", "power W", "clock MHz", "fan rpm"]);
  });

  it("tells a channel by its unit alone where no word does, and takes no other part's clock for the chip's", async () => {
    expect(await matched("Time,Die [°C],Soc [W],Outlet [rpm],Ring [MHz]", "60,11,900,3600")).toEqual([
      "temperature °C",
      "power W",
      "fan rpm",
      "Ring [MHz] MHz",
    ]);
    expect(await matched("Time,Die [°C],Core 0 [MHz]", "60,4700")).toEqual(["temperature °C", "clock MHz"]);
    expect(await matched("Time,Die [°C],Limit [W]", "60,4700")).toEqual(["temperature °C", "power W"]);
  });

  it("tells columns of one name by where they stand, and others by their names", async () => {
    const { matches } = await readLog(
      ["Time,Temp,Power,Temp", ...[0, 1, 2, 3, 4].map((s) => `${s},60,90,40`)].join("\n"),
    );
    expect(matches.map(({ column }) => column)).toEqual(["Time", 2, "Power", 4]);
  });

  it("takes a counter for the time where nothing else is, a row a second until somebody says otherwise", async () => {
    const { matches } = await readLog(["No.,Temp", ...[1, 2, 3, 4, 5].map((n) => `${n},60`)].join("\n"));
    expect(matches[0]).toEqual({ column: "No.", channel: "time", unit: "count", everyS: 1 });
  });

  it("never uses a channel twice", async () => {
    const channels = await matched("Time,temperature,temperature,power,Temp,Temp", "60,61,62,63,64");
    expect(new Set(channels).size).toBe(channels.length);
  });
});

describe("unitWritten", () => {
  it("finds the unit in brackets or at the end", () => {
    expect(
      ["Temp [°C]", "Temp (degF)", "cpu_temp_c", "Power, W", "fan rpm", "Load %", "T °C", "note"].map(
        unitWritten,
      ),
    ).toEqual(["°C", "°F", "°C", "W", "rpm", "%", "°C", undefined]);
  });
});

describe("columnMatchesFrom", () => {
  const field = (...matches: object[]) => JSON.stringify(matches);
  const time = { column: "t", channel: "time", unit: "s" };

  it("takes names and places, and leaves the unit out where none is given", () => {
    expect(columnMatchesFrom(field(time, { column: 2, channel: "temperature" }))[1]).toEqual({
      column: 2,
      channel: "temperature",
      unit: "",
      everyS: null,
    });
  });

  it("refuses what cannot be read, in a sentence", () => {
    const refused = (sent: string) => () => columnMatchesFrom(sent);
    expect(refused("{")).toThrow("not JSON");
    const beside = { column: "b", channel: "fan" };
    expect(refused(field({ column: "t", channel: "time", everyS: 0 }, beside))).toThrow(
      "The time between two rows is above 0 s.",
    );
    expect(refused(field({ ...time, everyS: 86_401 }, beside))).toThrow("is at most 86,400 s.");
    expect(refused(field(time, { ...beside, column: 0 }))).toThrow("The place of a column counts from 1.");
    expect(refused(field(time))).toThrow("at least one column with readings");
    expect(refused(field(time, { column: "b", channel: "fan" }))).not.toThrow();
    expect(
      refused(field({ column: "a", channel: "power", unit: "W" }, { column: "b", channel: "fan" })),
    ).toThrow("matched to the time");
    expect(refused(field(time, { column: "a", channel: "power", unit: "°C" }))).toThrow(
      '"°C" is no unit of power',
    );
    expect(refused(field(time, { column: "a", channel: "fan" }, { column: "b", channel: "fan" }))).toThrow(
      "named twice",
    );
    expect(refused(field(time, { column: "a", channel: "fan", colour: "red" }))).toThrow();
  });
});

describe("headerKey", () => {
  it("is the same for the same cells, spaces aside", () => {
    expect(headerKey(["Time ", "Temp"])).toBe(headerKey(["Time", " Temp"]));
    expect(headerKey(["a,b"])).not.toBe(headerKey(["a", "b"]));
  });
});
