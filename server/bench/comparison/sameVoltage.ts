import type { Assumptions } from "./assumptions.ts";
import { settled, type Verdict, verdictOf } from "./verdict.ts";

/** The part of a frontier's point that a comparison of clocks looks at. */
export type ClockAtVoltage = Readonly<{
  voltageMv: number;
  highestPassedMhz: number | null;
  heldMhz: number | null;
  lowestCrashMhz: number | null;
}>;

/** A fitted limit at one voltage with its 95 % interval; no upper end where only passes are known. */
export type FittedLimit = Readonly<{ clockMhz: number; lowMhz: number; highMhz: number | null }>;

/** A build's limit curve as a comparison asks it; undefined where none is fitted. */
export type LimitAt = (voltageMv: number) => FittedLimit | undefined;

/** How far apart the observed limits are: from held to crashed on either side; an end is null where it was never tried. */
export type Bracket = Readonly<{ atLeastMhz: number | null; atMostMhz: number | null }>;

/** Two builds at one voltage; the difference is b minus a, in MHz. */
export type SameVoltageRow = Readonly<{
  voltageMv: number;
  /** The clocks held by the rule. */
  aMhz: number | null;
  bMhz: number | null;
  differenceMhz: number | null;
  /** Ends of the difference between fitted limits; null where no limit is fitted. */
  low: number | null;
  high: number | null;
  /** Only fitted limits are judged; what was observed is shown and not judged. */
  verdict: Verdict;
  bracket: Bracket | null;
  /** The fitted limits themselves, where both are known. */
  aLimitMhz: number | null;
  bLimitMhz: number | null;
  smallerThan: "clock-step" | "worth-having" | null;
  /** Says which figure was read off between two voltages tried. */
  interpolated: "a" | "b" | "both" | null;
}>;

export type SameVoltageQuestion = Readonly<{
  a: readonly ClockAtVoltage[];
  b: readonly ClockAtVoltage[];
  limitOfA?: LimitAt;
  limitOfB?: LimitAt;
  assumptions: Pick<Assumptions, "clockStepMhz" | "worthHaving">;
}>;

/** Every voltage tried on both builds, lowest first. */
export function sameVoltageRows(question: SameVoltageQuestion): SameVoltageRow[] {
  const ofB = new Map(question.b.map((point) => [point.voltageMv, point]));
  return question.a
    .flatMap((a) => {
      const b = ofB.get(a.voltageMv);
      const limits = [question.limitOfA?.(a.voltageMv), question.limitOfB?.(a.voltageMv)] as const;
      return b === undefined ? [] : [clockRow(a.voltageMv, a, b, limits, null, question.assumptions)];
    })
    .sort((first, second) => first.voltageMv - second.voltageMv);
}

export type HeldAndCrashed = Pick<ClockAtVoltage, "heldMhz" | "lowestCrashMhz">;

/** One row from what both builds held and crashed at, and from their fitted limits where there are any. */
export function clockRow(
  voltageMv: number,
  a: HeldAndCrashed,
  b: HeldAndCrashed,
  limits: readonly [FittedLimit | undefined, FittedLimit | undefined],
  interpolated: SameVoltageRow["interpolated"],
  assumptions: SameVoltageQuestion["assumptions"],
): SameVoltageRow {
  const between = betweenLimits(...limits);
  const differenceMhz = less(b.heldMhz, a.heldMhz);
  const verdict = verdictOf(between.low, between.high);
  return {
    voltageMv,
    aMhz: a.heldMhz,
    bMhz: b.heldMhz,
    differenceMhz,
    ...between,
    verdict,
    bracket: bracketOf(a, b),
    aLimitMhz: limits[0]?.clockMhz ?? null,
    bLimitMhz: limits[1]?.clockMhz ?? null,
    smallerThan: verdict === "differs" ? smallerThan(limits, assumptions) : null,
    interpolated,
  };
}

/** From the least one build can hold to the most the other can, and the other way round. */
const bracketOf = (a: HeldAndCrashed, b: HeldAndCrashed): Bracket | null => {
  const atLeastMhz = less(b.heldMhz, a.lowestCrashMhz);
  const atMostMhz = less(b.lowestCrashMhz, a.heldMhz);
  return atLeastMhz === null && atMostMhz === null ? null : { atLeastMhz, atMostMhz };
};

const less = (from: number | null, what: number | null): number | null =>
  from === null || what === null ? null : settled(from - what);

type Between = Pick<SameVoltageRow, "low" | "high">;

/**
 * The interval of a difference from the intervals of its parts, which need not be even-sided: each end from the distances of
 * the ends that work against one another. Fits of the same chip are taken as independent, which errs on the wide side.
 */
function betweenLimits(a: FittedLimit | undefined, b: FittedLimit | undefined): Between {
  if (a === undefined || b === undefined) return { low: null, high: null };
  const middle = b.clockMhz - a.clockMhz;
  const low = a.highMhz === null ? null : middle - Math.hypot(b.clockMhz - b.lowMhz, a.highMhz - a.clockMhz);
  const high = b.highMhz === null ? null : middle + Math.hypot(b.highMhz - b.clockMhz, a.clockMhz - a.lowMhz);
  return { low: low === null ? null : settled(low), high: high === null ? null : settled(high) };
}

function smallerThan(
  [a, b]: readonly [FittedLimit | undefined, FittedLimit | undefined],
  { clockStepMhz, worthHaving }: SameVoltageQuestion["assumptions"],
): SameVoltageRow["smallerThan"] {
  const size = Math.abs((b?.clockMhz ?? 0) - (a?.clockMhz ?? 0));
  if (size < clockStepMhz) return "clock-step";
  return size < (worthHaving.clock ?? 0) ? "worth-having" : null;
}
