import type { HeatRun } from "./heatReading.ts";

/** Where a run would be at one moment: seconds from the first row of its trace, degrees, and the 95 % band. */
export type MomentAhead = Readonly<{ s: number; midC: number; lowC: number; highC: number }>;

/** How well the course is known where the readings end, at the best. */
const knownNowC = 0.8;
const leastS = 300;
const mostS = 3600;

/**
 * The course of a run from its last reading to where it settles, five minutes at least and an hour at most: what is still
 * to come goes by its own time constant, and the band from what is known now to what is known of the end. Null where no
 * end is forecast.
 */
export function courseAhead(run: HeatRun, points = 25): readonly MomentAhead[] | null {
  const { load, final, remainderC, settlesAtS, slowS } = run;
  if (load === null || final === null || remainderC === null || slowS === null) return null;
  const toSettleS = (settlesAtS ?? 0) - (load.toS - load.fromS);
  const lastsS = Math.min(mostS, Math.max(leastS, toSettleS));
  const now = {
    below: Math.min(knownNowC, final.c - final.lowC),
    above: Math.min(knownNowC, final.highC - final.c),
  };
  return Array.from({ length: points }, (_, i) => {
    const afterS = (i * lastsS) / (points - 1);
    const toCome = Math.exp(-afterS / slowS);
    const between = (atNow: number, atEnd: number): number => toCome * atNow + (1 - toCome) * atEnd;
    const midC = final.c - remainderC * toCome;
    return {
      s: load.toS + afterS,
      midC,
      lowC: midC - between(now.below, final.c - final.lowC),
      highC: midC + between(now.above, final.highC - final.c),
    };
  });
}
