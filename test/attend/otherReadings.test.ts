import { appendFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { expect, it } from "vitest";
import { followLog } from "../../server/attend/followLog.ts";
import { namedValuesIn, readingOfNamed } from "../../server/attend/namedReadings.ts";
import { readCommand } from "../../server/attend/readCommand.ts";
import type { MachineReader } from "../../server/attend/reading.ts";
import { temporaryFolder } from "../support/bench.ts";

const until = async (readings: MachineReader, is: (tempC: number | null) => boolean): Promise<void> => {
  for (let tries = 0; tries < 200 && !is(readings.read().tempC); tries++)
    await new Promise((resolve) => setTimeout(resolve, 25));
};

it("a program's lines are readings by their names and units", () => {
  const values = namedValuesIn(
    "core 3=61.5 °C\nroom=22 °C\npump = 2100 rpm\nchip power=141.2 W\nVcore=1.184 V\nclock=4.573 GHz\nhits=7\nnot a line\n=3",
  );
  expect(readingOfNamed(values)).toMatchObject({
    tempC: 61.5,
    powerW: 141.2,
    voltageMv: 1184,
    clockMhz: 4573,
    temps: { "core 3": 61.5, room: 22 },
    fans: { pump: 2100 },
    others: { hits: 7 },
  });
  expect(readingOfNamed(namedValuesIn("edge=212 °F")).tempC).toBe(100);
});

it("a program that is read is asked for as long as it prints, and not after", async () => {
  let nowS = 0;
  const said: string[] = [];
  const readings = readCommand(
    "echo 'core=55 °C'; sleep 0.2",
    () => nowS,
    (words) => void said.push(words),
  );
  await until(readings, (tempC) => tempC === 55);
  expect(readings.read().tempC).toBe(55);
  nowS = 4;
  expect(readings.read().tempC).toBeNull();
  await until(readings, () => said.length > 0);
  expect(said.join()).toContain("has ended");
});

it("another recorder's log is followed while it grows, in its own form, also when it is long", async () => {
  let nowS = 0;
  const file = path.join(temporaryFolder(), "log.csv");
  const line = (i: number, c: string) => `${i};${c};${(140 + (i % 3)).toFixed(1).replace(".", ",")};4575\r\n`;
  writeFileSync(file, "Time (s);Core temperature (°C);Package power (W);Core clock (MHz)\r\n");
  for (let i = 0; i < 4000; i++) appendFileSync(file, line(i, "61,5"));
  const readings = followLog(
    file,
    () => nowS,
    () => undefined,
  );
  await until(readings, (tempC) => tempC === 61.5);
  expect(readings.read()).toMatchObject({ tempC: 61.5, clockMhz: 4575 });
  appendFileSync(file, `${line(4000, "73,25")}4001;7`);
  await until(readings, (tempC) => tempC === 73.25);
  // A torn last line waits for its end.
  expect(readings.read().tempC).toBe(73.25);
  nowS = 11;
  expect(readings.read().tempC).toBeNull();
});
