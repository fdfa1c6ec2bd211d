import { remainderAt } from "../../numerics/saturation.ts";
import type { HeatRun } from "./heatReading.ts";
import { between, type HeatTrace, meanOf, readingsOf } from "./heatTrace.ts";
import type { Span } from "./spans.ts";

/** Points of a curve: seconds from the first row of the trace, and degrees. */
export type HeatCourse = Readonly<{ t: readonly number[]; c: readonly number[] }>;

/** The fitted temperature from the load start on, and on past the end of the load: what it would have done had it run on. */
export function fittedCourse(run: HeatRun, span: Span, points = 120): HeatCourse | null {
  const { fit, load } = run;
  if (fit === null || load === null) return null;
  const fromS = Math.max(load.fromS, span.fromS);
  if (span.toS <= fromS) return null;
  const t = Array.from({ length: points }, (_, i) => fromS + (i * (span.toS - fromS)) / (points - 1));
  return { t, c: t.map((at) => fit.level - remainderAt(fit, at - load.fromS)) };
}

const idleS = 60;
const leastIdleS = 10;

/** The mean of the last minute before the load came on; null where less than ten seconds of it are there. */
export function idleBefore(trace: HeatTrace, run: HeatRun): number | null {
  if (run.load === null || run.load.foundFrom === "first row") return null;
  const before = between(readingsOf(trace.t, trace.temperature), run.load.fromS - idleS, run.load.fromS - 2);
  const spanS = (before.t[before.t.length - 1] ?? 0) - (before.t[0] ?? 0);
  return spanS < leastIdleS ? null : (meanOf(before.values) ?? null);
}
