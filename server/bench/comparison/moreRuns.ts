import { usualMountScatterC } from "./assumptions.ts";
import type { KnownScatter } from "./measureBudget.ts";
import type { MeasuredSides } from "./measuredSide.ts";
import { mostRepeats, repeatsToDecide, type Verdict } from "./verdict.ts";

/** What the tester would have to add before something can be said; null where it was. */
export function whatWouldDecide(
  verdict: Verdict,
  difference: number,
  sides: MeasuredSides,
  known: KnownScatter,
  unit: string,
): string | null {
  if (verdict === "differs") return null;
  if (known.scatter !== null)
    return byKnownScatter(difference, known.scatter.standardDeviation, known.per, unit);
  return known.per === "mount" ? byUsualMounts(difference, sides, unit) : secondRun(sides);
}

function byKnownScatter(difference: number, scatter: number, per: string, unit: string): string {
  const each = repeatsToDecide(difference, scatter);
  const size = `${shortNumber(Math.abs(difference))} ${unit}`.trim();
  if (each === null)
    return `If there is a difference of ${size}, it would take more than ${mostRepeats} ${per}s of each build to show it.`;
  return `If the difference of ${size} is real, ${each} ${per}s of each build would show it.`;
}

function byUsualMounts(difference: number, sides: MeasuredSides, unit: string): string {
  const [low, high] = usualMountScatterC.map((scatter) => repeatsToDecide(difference, scatter));
  const first = `Take the cooler off and put it back on ${lacking(sides)}: ${mountedWords(sides)}.`;
  const size = `${shortNumber(Math.abs(difference))} ${unit}`;
  const range = `Coolers put on again usually differ by ${usualMountScatterC[0]} to ${usualMountScatterC[1]} °C; a difference of ${size} would then take`;
  return `${first} ${range} ${countsWords(low ?? null, high ?? null)} mounts of each build.`;
}

const lacking = (sides: MeasuredSides): string =>
  sides.a.mounts < 2 && sides.b.mounts < 2
    ? "each build"
    : sides.a.mounts < 2
      ? "the first build"
      : "the second build";

const mountedWords = (sides: MeasuredSides): string =>
  `runs on one mount are one mount, and there ${
    sides.a.mounts === 1 && sides.b.mounts === 1
      ? "is one of each"
      : `are ${sides.a.mounts} and ${sides.b.mounts}`
  }`;

const countsWords = (low: number | null, high: number | null): string =>
  low === high ? countWords(low) : `${countWords(low)} to ${countWords(high)}`;

const countWords = (count: number | null): string => (count === null ? `over ${mostRepeats}` : `${count}`);

const secondRun = (sides: MeasuredSides): string =>
  sides.a.runs === 1 && sides.b.runs === 1
    ? "A second run of each build at this setting is the least that shows how far runs scatter."
    : "Repeat a run on the same mount to show how far runs scatter.";

const shortNumber = (value: number): string => (value >= 100 ? value.toFixed(0) : value.toFixed(1));
