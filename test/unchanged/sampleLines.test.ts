import { expect, it } from "vitest";
import { samplesFromCsv, samplesFromNdjson } from "../../server/csv/sampleLines.ts";
import { toldOf } from "./told.ts";
import { refusalTold } from "./toldLog.ts";

const started = "2031-05-04T12:00:00.000Z";
const jsonLines = [
  '{"elapsedS":0,"temperatureC":40,"powerW":null,"throttled":false}',
  '{"elapsedS":"1.5","temperatureC":"41","throttled":"true","own [dB]":31}',
  '{"at":"2031-05-04T12:00:02Z","clockMhz":"","fanRpm":1200}',
  '{"elapsedS":-0.001,"temperatureC":40}',
  '{"elapsedS":2592000,"temperatureC":40}',
  '{"elapsedS":2592000.5,"temperatureC":40}',
  '{"at":"soon","temperatureC":40}',
  '{"temperatureC":40}',
  '{"elapsedS":3,"temperatureC":"warm"}',
  '{"elapsedS":3,"temperatureC":[1]}',
  '{"elapsedS":3,"time":1}',
  '{"elapsedS":3,"":1}',
  '{"elapsedS":3,"voltage":1200,"core (V)":1.2,"toString":1}',
  `{"elapsedS":3,"${"n".repeat(80)}":1}`,
  `{"elapsedS":3,"${"n".repeat(81)}":1}`,
  `{"elapsedS":3,"x [${"u".repeat(21)}]":1}`,
  "[1]",
  "null",
  "{",
  "  ",
  '{"elapsedS":null,"at":"2031-05-04T11:59:59Z"}',
];
const manyNamed = (count: number) =>
  JSON.stringify({
    elapsedS: 0,
    ...Object.fromEntries(Array.from({ length: count }, (_, at) => [`own ${at}`, at])),
  });

it("samples sent while a run goes on are read as before", () => {
  const sent: Readonly<Record<string, () => unknown>> = {
    lines: () => samplesFromNdjson(`\ufeff${jsonLines.join("\r\n")}\n`, started),
    "each alone": () =>
      jsonLines.flatMap((line) => (line.trim() === "" ? [] : samplesFromNdjson(line, started).channels)),
    nothing: () => samplesFromNdjson(" \n", started),
    "64 channels": () => samplesFromNdjson(manyNamed(64), started).channels.length,
    "65 channels": () => samplesFromNdjson(`{"elapsedS":0}\n${manyNamed(65)}`, started),
    "100,000 lines": () => samplesFromNdjson('{"elapsedS":0}\n'.repeat(100_000), started).t.length,
    "one more": () => samplesFromNdjson('{"elapsedS":0}\n'.repeat(100_001), started),
    table: () =>
      samplesFromCsv(
        'elapsedS, temperatureC,"own, too [V]"\n0,40,1\n1,,2\n2,41\n3,"42,1\n4,"43",x\n\n5,44,true',
        started,
      ),
    "table by the clock": () =>
      samplesFromCsv("at,load\n2031-05-04T12:00:00.5Z,80\n2031-05-04T11:00:00Z,80", started),
    "table without a time": () => samplesFromCsv("seconds,load\n1,80", started),
    "an open quote in the header": () => samplesFromCsv('"elapsedS,load\n1,80', started),
  };
  const told = Object.entries(sent).map(([name, ask]) => {
    try {
      return `## ${name}\n${toldOf(ask())}`;
    } catch (error) {
      return `## ${name}\n${refusalTold(error)}`;
    }
  });
  return expect(`${told.join("\n")}\n`).toMatchFileSnapshot("answers/sampleLines.txt");
});
