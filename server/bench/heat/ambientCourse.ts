import { firstAtOrAfter, type HeatTrace, meanOf, readingsOf, type TimedValues } from "./heatTrace.ts";
import type { Span } from "./spans.ts";

/** The room as the chip feels it: it answers a change of the room as slowly as its heatsink does. */
export type AmbientCourse = Readonly<{
  /** The room felt over the window. */
  windowC: number;
  /** By how much the room felt at a time is warmer than over the window. */
  excessAt: (seconds: number) => number;
}>;

/** The room's course, smoothed with the time the heatsink takes; undefined without an ambient channel. */
export function ambientCourseOf(trace: HeatTrace, window: Span, slowS: number): AmbientCourse | undefined {
  if (trace.ambient === undefined) return undefined;
  const room = readingsOf(trace.t, trace.ambient, (value) => value > -60 && value < 80);
  if (room.t.length < 2) return undefined;
  const felt = smoothed(room, slowS);
  const from = firstAtOrAfter(felt.t, window.fromS);
  const to = firstAtOrAfter(felt.t, window.toS + 1e-9);
  const windowC = meanOf(felt.values.subarray(from, to)) ?? (felt.values[felt.values.length - 1] as number);
  return {
    windowC,
    excessAt: (seconds) => {
      const at = Math.min(felt.t.length - 1, firstAtOrAfter(felt.t, seconds));
      return (felt.values[at] as number) - windowC;
    },
  };
}

function smoothed({ t, values }: TimedValues, slowS: number): TimedValues {
  const first = meanOf(values.subarray(0, firstAtOrAfter(t, (t[0] as number) + 30))) as number;
  const felt = new Float64Array(values.length);
  felt[0] = first;
  for (let i = 1; i < values.length; i += 1) {
    const share = -Math.expm1(-((t[i] as number) - (t[i - 1] as number)) / slowS);
    felt[i] = (felt[i - 1] as number) + share * ((values[i] as number) - (felt[i - 1] as number));
  }
  return { t, values: felt };
}
