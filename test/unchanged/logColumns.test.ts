import { it } from "vitest";
import {
  conversionOf,
  isKnownChannel,
  knownChannels,
  unitKept,
  unitSpelled,
  unitsOf,
} from "../../server/bench/logs/channel.ts";
import { type ColumnGlimpse, columnsProposed, unitWritten } from "../../server/bench/logs/columnProposal.ts";
import { heldLines } from "./heldLines.ts";

const unitWords =
  "°C|c|ºC|deg C|K|F|W|mW|MW|kW|uW|V|mV|uV|A|mA|Hz|kHz|MHz|GHz|rpm|U/min|%|percent|s|sec|ms|us|µs|ns|min|h|hours|day|clock|m:s|mm:ss|hh:mm|iso|iso 8601|count|ymd|date||bar|constructor".split(
    "|",
  );

it("a unit is known by its spellings, and fits the channels that it did", () =>
  heldLines("units", [
    ...unitWords.map((unit) => {
      const fits = [...knownChannels, "own"].flatMap((channel) => {
        const found = conversionOf(channel, unit);
        return found === undefined
          ? []
          : [
              `${channel} ${found.to}${found.factor === 1 ? "" : ` x${found.factor.toPrecision(6)}`}${found.shift === 0 ? "" : ` ${found.shift}`}`,
            ];
      });
      return `"${unit}"  ${unitSpelled(unit) ?? "unknown"}: ${fits.join(", ")}`;
    }),
    ...[...knownChannels, "own", "toString"].map(
      (channel) =>
        `${channel}  kept in "${unitKept(channel, "bar")}", ${isKnownChannel(channel) ? unitsOf(channel).join(" ") : "not known"}`,
    ),
    ...[
      "Temp [°C]",
      "Temp (C)",
      "Temp {K} ",
      "Temp °C",
      "Temp° f",
      "Load %",
      "Core clock",
      "Clock MHz",
      "Row count",
      "Power_W",
      "Power/W",
      "Power:kW",
      "W",
      "Time, s",
      "Temp [x]",
      "Temp [] V",
      "days",
      "Up days",
      "Date dmy",
      "a-V",
      "Fan (1/min)",
    ].map((name) => `${name}  ${unitWritten(name) ?? "no unit"}`),
  ]));

const glimpse = (
  name: string,
  numbers: readonly number[],
  more: Partial<ColumnGlimpse> = {},
): ColumnGlimpse => ({
  name,
  kind: "number",
  numbers,
  ...more,
});

const headers: readonly (readonly ColumnGlimpse[])[] = [
  ...[
    "Time|CPU temp|VRM temp|Room|Pump|Core clock|Package power|Vcore|Amps|Usage|Throttling|Note",
    "Elapsed|Board temp|Die temp|GPU hot spot|CPU temp max|Coolant temp|Memory clock|Bus clock",
    "index|Temp|Temp|temperature|time|x|x",
    "Nr.|Disk °C|°F|W|kW|mV|GHz|rpm|mA|%|Limit MHz",
    "seconds|Core load|Load average|CPU package temp|Core distance temp|GPU load temp|effective clock|clock target",
    "t|Zeit|Umgebung [°C]|Wandler °C|Lüfter U/min|Takt MHz|Leistung W|Spannung V|Strom A|Auslastung %|Drosselung",
    "sample|Temp [W]|Power [°C]|Fan [%]|Clock [V]|Volt [MHz]",
    `T|${"long ".repeat(20)}|${"long ".repeat(20)}x|`,
    "CPU temp|CPU power",
  ].map((names) => names.split("|").map((name) => glimpse(name, [40, 41]))),
  ...[29.9, 30, -31].map((volts) => [
    glimpse("time", [0]),
    glimpse("Vcore", [1, volts, 1]),
    glimpse("Own voltage", [volts]),
  ]),
  ...[19.9, 20].map((hertz) => [
    glimpse("time", [0]),
    glimpse("Clock", [1, hertz]),
    glimpse("Power", [hertz]),
  ]),
  ...[
    [0, 1],
    [1e11, 1],
    [1.01e11, 1],
    [1e14, 1],
    [1.01e14],
    [1e17],
    [-1.01e17],
    [],
    [29_000, 29_000.01],
    [29_000.5, 29_000.51],
    [79_999.9, 79_999.91],
    [80_000, 80_000.01],
    [45_000, 45_000.03, 45_000.04],
    [45_000, 45_000.03, 45_000.06],
    [45_000, 45_001],
    [45_000.5, 45_000.5],
  ].map((of) => [glimpse("time", of), glimpse("temp", [40])]),
  [
    glimpse("time", [0], { cellUnit: "ms" }),
    glimpse("x", [40], { cellUnit: "°C" }),
    glimpse("y", [1], { cellUnit: "bar" }),
  ],
  [
    glimpse("time [V]", [0]),
    glimpse("temp", [40], { cellUnit: "W" }),
    glimpse("throttle", [], { kind: "flag" }),
  ],
  [glimpse("time min", [0]), glimpse("temp", [], { kind: "text" }), glimpse("power", [], { kind: "flag" })],
  ...(["instant", "date", "clock", "flag", "text", "blank"] as const).flatMap((kind) => [
    [glimpse("when", [], { kind }), glimpse("temp", [40]), glimpse("time", [0])],
    [
      glimpse("time", [], { kind, dateOrders: ["dmy"], shortClock: "m:s" }),
      glimpse("temp", [40]),
      glimpse("stamp", [], { kind: "clock" }),
    ],
    [glimpse("date", [], { kind, dateOrders: ["dmy", "mdy"], shortClock: "open" }), glimpse("count", [1])],
  ]),
];

it("columns are proposed as before", () =>
  heldLines(
    "columns",
    headers.map((columns) => {
      const proposed = columnsProposed(columns).map(({ column, channel, unit, everyS }) =>
        [column === channel ? "" : `${column}=`, channel, unit && ` ${unit}`, everyS && ` every ${everyS} s`]
          .filter(Boolean)
          .join(""),
      );
      const of = columns.map(
        ({ name, kind, numbers: [first = "", ...more] }) =>
          `${name.trim().slice(0, 24)}${kind === "number" ? "" : ` ${kind}`}${columns.length > 3 ? "" : ` ${[first, ...more].slice(0, 3)}`}`,
      );
      return `${of.join("|")}\n  ${proposed.join("; ") || "nothing"}`;
    }),
  ));
