import * as z from "zod";
import { errorCount, errorCounts } from "./asSet.ts";
import { clockMhz, count, durationS, powerW, temperatureC, text, voltageMv } from "./units.ts";

/** The machine under test speaks of itself; a watcher, such as a phone's page, goes on when the bench has frozen. */
export const heartbeatSources = ["machine", "watcher"] as const;
export type HeartbeatSource = (typeof heartbeatSources)[number];

export const heartbeatDraft = z.strictObject({
  elapsedS: durationS,
  from: z.enum(heartbeatSources).nullish(),
  /** Counts the heartbeats of one source, so that one sent twice is known. */
  seq: count("The number of a heartbeat", 1e9).nullish(),
  tempC: temperatureC.nullish(),
  powerW: powerW.nullish(),
  loadVoltageMv: voltageMv.nullish(),
  /** Of the loaded cores. */
  clockMhz: clockMhz.nullish(),
  correctedErrors: z.union([errorCount, errorCounts]).nullish(),
  bootId: text(80).nullish(),
});
export type HeartbeatDraft = z.infer<typeof heartbeatDraft>;

/** How far a running attempt is known to have got. */
export type Heartbeat = Readonly<{
  elapsedS: number;
  at: string;
  from: HeartbeatSource;
  seq: number | null;
  tempC: number | null;
  powerW: number | null;
  loadVoltageMv: number | null;
  clockMhz: number | null;
  correctedErrors: number | Readonly<Record<string, number>> | null;
  bootId: string | null;
}>;
