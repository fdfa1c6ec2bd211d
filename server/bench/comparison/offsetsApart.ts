import { toMillionths, type Verdict, verdictOf } from "./verdict.ts";

/** What a chip is set by, as far as a comparison looks at it. */
type ComparedAxis = Readonly<{ name: string; unit: string; step: number; harder: "up" | "down" }>;

/** The part of a row of the offset frontier that a comparison looks at. */
type HeldOnPart = Readonly<{
  part: string | null;
  heldOffset: number | null;
  easiestCrash: number | null;
}>;

/** A difference along the offset, b less a in its unit; an end is null where that build has only passed. */
type Apart = Readonly<{ difference: number; low: number | null; high: number | null }>;

/** What fits of both builds say: one difference, the mean over the parts, and each part by itself. */
export type FittedOffsetsApart = Apart &
  Readonly<{ parts: readonly (Apart & Readonly<{ part: string | null }>)[] }>;

/** Two builds on one part, in the offset's own unit; differences are b minus a. */
export type SameOffsetRow = Readonly<{
  /** Null for a chip that is set as a whole. */
  part: string | null;
  /** The offsets held by the rule. */
  a: number | null;
  b: number | null;
  difference: number | null;
  /** How far apart the limits are as observed, from held to crashed on either side, lower end first. */
  bracket: Readonly<{ low: number | null; high: number | null }> | null;
  /** Between the limits of both builds; null where they are not fitted. */
  limitsApart: number | null;
  low: number | null;
  high: number | null;
  verdict: Verdict;
}>;

/** The difference in offset of two builds as it is told: one figure over all parts, judged once, and each part below it. */
export type JudgedOffsets = Readonly<{
  axis: ComparedAxis;
  difference: number | null;
  low: number | null;
  high: number | null;
  verdict: Verdict;
  /** Over how many parts the one figure is the mean. */
  parts: number;
  smallerThan: "step" | null;
  rows: readonly SameOffsetRow[];
  because: string;
}>;

export type OffsetsQuestion = Readonly<{
  axis: ComparedAxis;
  a: readonly HeldOnPart[];
  b: readonly HeldOnPart[];
  apart: FittedOffsetsApart | null;
}>;

const lacking =
  "No difference between their limits is fitted: each build takes three attempts of one part that say something of its offset, one of them a failure.";
const byThemselves = "Each part of each build fitted by itself.";

/** How far two builds go along their offset, part by part. */
export function judgedOffsets({ axis, a, b, apart }: OffsetsQuestion): JudgedOffsets {
  const ofB = new Map(b.map((row) => [row.part, row]));
  const rows = a.flatMap((row) => {
    const other = ofB.get(row.part);
    return other === undefined ? [] : [rowOf(row, other, axis, apart)];
  });
  const { difference, low, high, verdict } = judged(apart);
  const isSmall = verdict === "differs" && difference !== null && Math.abs(difference) < axis.step;
  return {
    ...{ axis, difference, low, high, verdict, rows },
    parts: apart?.parts.length ?? 0,
    smallerThan: isSmall ? "step" : null,
    because: apart === null ? lacking : byThemselves,
  };
}

function rowOf(
  a: HeldOnPart,
  b: HeldOnPart,
  axis: ComparedAxis,
  apart: FittedOffsetsApart | null,
): SameOffsetRow {
  const { difference, low, high, verdict } = judged(apart?.parts.find(({ part }) => part === a.part));
  return {
    part: a.part,
    a: a.heldOffset,
    b: b.heldOffset,
    difference: less(b.heldOffset, a.heldOffset),
    bracket: bracketOf(a, b, axis.harder),
    limitsApart: difference,
    ...{ low, high, verdict },
  };
}

const judged = (apart: Apart | null | undefined) => {
  if (apart === null || apart === undefined)
    return { difference: null, low: null, high: null, verdict: "not-enough" as const };
  const [low, high] = [apart.low, apart.high].map((end) => (end === null ? null : toMillionths(end)));
  const ends = { low: low ?? null, high: high ?? null };
  return { difference: toMillionths(apart.difference), ...ends, verdict: verdictOf(ends.low, ends.high) };
};

/** From what one build held to what the other crashed at, and the other way round: whichever way is harder. */
function bracketOf(a: HeldOnPart, b: HeldOnPart, harder: ComparedAxis["harder"]): SameOffsetRow["bracket"] {
  const ends = [less(b.heldOffset, a.easiestCrash), less(b.easiestCrash, a.heldOffset)] as const;
  const [low, high] = harder === "up" ? ends : [ends[1], ends[0]];
  return low === null && high === null ? null : { low, high };
}

const less = (from: number | null, what: number | null): number | null =>
  from === null || what === null ? null : toMillionths(from - what);
