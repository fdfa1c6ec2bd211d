import type { Assumptions } from "./assumptions.ts";
import { type ClockApart, judgedClock, smallerThan } from "./clockApart.ts";
import { toMillionths, type Verdict } from "./verdict.ts";

/** The part of a frontier's point that a comparison of clocks looks at. */
export type ClockAtVoltage = Readonly<{
  voltageMv: number;
  highestPassedMhz: number | null;
  heldMhz: number | null;
  lowestCrashMhz: number | null;
}>;

/** How far apart the observed limits are: from held to crashed on either side; an end is null where it was never tried. */
type Bracket = Readonly<{ atLeastMhz: number | null; atMostMhz: number | null }>;

/** Two builds at one voltage; the difference is b minus a, in MHz. */
export type SameVoltageRow = Readonly<{
  voltageMv: number;
  /** The clocks held by the rule. */
  aMhz: number | null;
  bMhz: number | null;
  differenceMhz: number | null;
  /** Between the limits of both builds, fitted together; null where they are not. */
  limitsApartMhz: number | null;
  low: number | null;
  high: number | null;
  /** Only fitted limits are judged; what was observed is shown and not judged. */
  verdict: Verdict;
  bracket: Bracket | null;
  smallerThan: "clock-step" | "worth-having" | null;
  /** Says which figure was read off between two voltages tried. */
  interpolated: "a" | "b" | "both" | null;
}>;

export type SameVoltageQuestion = Readonly<{
  a: readonly ClockAtVoltage[];
  b: readonly ClockAtVoltage[];
  /** What a fit of both says; left out where there is none. */
  apart?: ClockApart | null;
  assumptions: Pick<Assumptions, "clockStepMhz" | "worthHaving">;
}>;

/** Every voltage tried on both builds, lowest first. */
export function sameVoltageRows(question: SameVoltageQuestion): SameVoltageRow[] {
  const ofB = new Map(question.b.map((point) => [point.voltageMv, point]));
  return question.a
    .flatMap((a) => {
      const b = ofB.get(a.voltageMv);
      return b === undefined ? [] : [clockRow(a.voltageMv, a, b, null, question)];
    })
    .sort((first, second) => first.voltageMv - second.voltageMv);
}

export type HeldAndCrashed = Pick<ClockAtVoltage, "heldMhz" | "lowestCrashMhz">;

/** One row from what both builds held and crashed at, and from the fit of both where there is one. */
export function clockRow(
  voltageMv: number,
  a: HeldAndCrashed,
  b: HeldAndCrashed,
  interpolated: SameVoltageRow["interpolated"],
  { apart, assumptions }: Pick<SameVoltageQuestion, "apart" | "assumptions">,
): SameVoltageRow {
  const { voltages } = judgedClock(apart ?? null, assumptions);
  const fitted = voltages.find((one) => Math.abs(one.voltageMv - voltageMv) < sameMv);
  return {
    voltageMv,
    aMhz: a.heldMhz,
    bMhz: b.heldMhz,
    differenceMhz: less(b.heldMhz, a.heldMhz),
    limitsApartMhz: fitted?.differenceMhz ?? null,
    low: fitted?.low ?? null,
    high: fitted?.high ?? null,
    verdict: fitted?.verdict ?? "not-enough",
    bracket: bracketOf(a, b),
    smallerThan: fitted === undefined ? null : smallerThan(fitted, assumptions),
    interpolated,
  };
}

/** Voltages are kept to a microvolt. */
const sameMv = 0.002;

/** From the least one build can hold to the most the other can, and the other way round. */
const bracketOf = (a: HeldAndCrashed, b: HeldAndCrashed): Bracket | null => {
  const atLeastMhz = less(b.heldMhz, a.lowestCrashMhz);
  const atMostMhz = less(b.lowestCrashMhz, a.heldMhz);
  return atLeastMhz === null && atMostMhz === null ? null : { atLeastMhz, atMostMhz };
};

const less = (from: number | null, what: number | null): number | null =>
  from === null || what === null ? null : toMillionths(from - what);
