import { expect, it } from "vitest";
import { mostRecorded, sensorChoicesFrom } from "../../../server/bench/logs/sensor.ts";

const choice = (sensor: string, channel: string) => ({ sensor, channel });

it("a choice of sensors has names of a letter or more, each channel once, and no more than a slow machine stands", () => {
  expect(sensorChoicesFrom([choice("T", "x")])).toEqual([choice("T", "x")]);
  for (const nameless of [choice("", "x"), choice("T", "")])
    expect(() => sensorChoicesFrom([nameless])).toThrow();
  const many = Array.from({ length: mostRecorded }, (_, at) => choice(`sensor ${at}`, `channel ${at}`));
  expect(sensorChoicesFrom(many)).toHaveLength(32);
  expect(() => sensorChoicesFrom([...many, choice("one more", "other")])).toThrow(
    "At most 32 sensors are recorded.",
  );
  expect(() => sensorChoicesFrom([choice("a", "fan"), choice("b", "fan")])).toThrow(
    "Two sensors are to be the fan",
  );
});
