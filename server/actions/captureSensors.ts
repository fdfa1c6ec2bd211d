import { type SensorChoice, sensorChoicesFrom } from "../bench/logs/sensor.ts";
import type { At } from "./context.ts";

/** Settles which sensors are recorded while an attempt runs, and whether they are at all. */
export function chooseSensors(
  choices: readonly SensorChoice[],
  recorded: boolean,
  { journal, now }: At,
): void {
  journal.captureSensors.keep(sensorChoicesFrom(choices), recorded, now);
}
