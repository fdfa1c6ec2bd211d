import * as z from "zod";
import { invalid } from "../things/refusal.ts";
import { isKnownChannel, type KnownChannel } from "./channel.ts";

/** What one of the machine's own sensors reads. */
export type SensorKind = "temperature" | "fan" | "voltage" | "current" | "power";

export type Sensor = Readonly<{
  /** Stays the same from start to start as long as the device does: device, its own place, and the input. */
  id: string;
  device: string;
  label: string;
  kind: SensorKind;
  unit: string;
  file: string;
}>;

export type SensorReading = Readonly<{ sensor: Sensor; value: number }>;

/** Which sensor is which channel of the traces to come. */
export type SensorChoice = Readonly<{ sensor: string; channel: string }>;

/** What a sensor of a kind may be: the chip's, the supply's or the room's temperature, and what goes by its own name. */
export const channelsOfKind: Readonly<Record<SensorKind, readonly KnownChannel[]>> = {
  temperature: ["temperature", "supply", "ambient"],
  fan: ["fan"],
  voltage: ["voltage"],
  current: ["current"],
  power: ["power"],
};

/** More than these a second would make a slow machine slower. */
export const mostRecorded = 32;

const sensorChoice = z.strictObject({
  sensor: z.string().min(1).max(200),
  channel: z.string().min(1).max(80),
});

/** The choice as it may be kept: each channel once. */
export function sensorChoicesFrom(sent: readonly SensorChoice[]): readonly SensorChoice[] {
  const choices = z.array(sensorChoice).parse(sent);
  if (choices.length > mostRecorded) throw invalid(`At most ${mostRecorded} sensors are recorded.`);
  const channels = choices.map(({ channel }) => channel);
  const twice = choices.find(({ channel }, at) => channels.indexOf(channel) !== at);
  if (twice === undefined) return choices;
  const because = isKnownChannel(twice.channel)
    ? `Two sensors are to be the ${twice.channel}; choose one, and keep the other under its own name.`
    : `Two sensors are to be kept as "${twice.channel}".`;
  throw invalid(because, { [twice.sensor]: "Another sensor is this already." });
}
