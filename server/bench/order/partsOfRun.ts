import type { OutcomeClass } from "../things/outcome.ts";

/** What the order needs of an attempt on a chip that is set by offset. */
export type OffsetRun = Readonly<{
  class: OutcomeClass;
  /** Of all parts, or of the part under test. */
  offset: number | null;
  /** Of each part that was set by itself. */
  offsets: Readonly<Record<string, number>> | null;
  /** The part under test; null where all ran. */
  part: string | null;
  /** The part that failed, where that was told. */
  crashPart: string | null;
}>;

export type OffsetMeaning = Readonly<{
  harder: "up" | "down";
  /** All parts take one voltage: the one that asks most gives it to all that are awake. */
  sharedSupply: boolean;
  /** As the chip's entry names them; a record may name others. */
  parts?: readonly string[];
}>;

/** What one attempt says of one part; null for a chip that is set as a whole. */
export type PartStand = Readonly<{ part: string | null; offset: number; class: OutcomeClass }>;

/** Every part that the chip's entry or a record names, in the order of their names; none for a chip that is set as a whole. */
export function partsNamed(runs: readonly OffsetRun[], listed: readonly string[] = []): string[] {
  const named = new Set<string>(listed);
  for (const { offsets, part, crashPart } of runs)
    for (const one of [...Object.keys(offsets ?? {}), part, crashPart]) if (one !== null) named.add(one);
  return [...named].sort((a, b) => a.localeCompare(b, "en", { numeric: true }));
}

/** Where a part stood in an attempt: its own offset, else that of all; a part that nobody set stood at none. */
export function offsetOfPart({ offset, offsets, part }: OffsetRun, of: string | null): number | null {
  if (of === null) return offset;
  if (offsets !== null && Object.hasOwn(offsets, of)) return offsets[of] as number;
  return part === null || part === of ? (offset ?? (offsets === null ? null : 0)) : 0;
}

/** The part a failure belongs to; null where it belongs to the build and to no part. */
const failedPart = ({ part, crashPart }: OffsetRun): string | null => crashPart ?? part;

/**
 * What an attempt says of each part. A pass covers a part only at what it ran, and on a shared supply only where the
 * others idled or asked for no more; a failure belongs to the part that is known to have failed or was under test.
 */
export function partStandsOf(
  run: OffsetRun,
  parts: readonly string[],
  meaning: OffsetMeaning,
): readonly PartStand[] {
  const { class: kind } = run;
  if (parts.length === 0) return run.offset === null ? [] : [{ part: null, offset: run.offset, class: kind }];
  const awake = run.part === null ? parts : [run.part];
  const speaksOf = kind === "crash" ? [failedPart(run)].filter((part) => part !== null) : awake;
  return speaksOf.flatMap((part): PartStand[] => {
    const offset = offsetOfPart(run, part);
    if (offset === null) return [];
    const isCarried = kind !== "crash" && meaning.sharedSupply && asksLess(run, offset, awake, meaning);
    return isCarried ? [] : [{ part, offset, class: kind }];
  });
}

/** Whether any other part that was awake stood easier, and so was given more voltage; where one stood is known of all or none. */
const asksLess = (
  run: OffsetRun,
  offset: number,
  awake: readonly string[],
  { harder }: OffsetMeaning,
): boolean =>
  awake.some((other) => hardnessOf(offsetOfPart(run, other)!, harder) < hardnessOf(offset, harder));

/** An offset as a number that grows as it gets harder; never minus zero. */
export const hardnessOf = (offset: number, harder: "up" | "down"): number =>
  harder === "up" ? offset : 0 - offset;

/** How hard the easiest of some offsets is, the unknown left out; null where none is known. */
export function leastHardness(offsets: readonly (number | null)[], harder: "up" | "down"): number | null {
  const known = offsets.flatMap((offset) => (offset === null ? [] : [hardnessOf(offset, harder)]));
  return known.length === 0 ? null : Math.min(...known);
}
