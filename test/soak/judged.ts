import type { PageTimes, Soaked } from "./soaked.ts";

const mb = 1_000_000;
const mostGrowthBytes = 20 * mb;
const mostTimes = 3;
const latestHeardMs = 1_000;

export type Leeway = Readonly<{
  /** A page as quick as this is no slow one, whatever it took at rest. */
  quickMs: number;
  /** Added to what an event may take on a machine that has other work. */
  busyMs: number;
}>;

/** What did not hold, a sentence each. */
export const failings = (soaked: Soaked, { quickMs, busyMs }: Leeway): readonly string[] => [
  ...captureFailings(soaked),
  ...soaked.hearings.flatMap(({ kind, missed, latestMs, showsLast }, place) => {
    const who = `Device ${place + 1} (${kind})`;
    return [
      ...(missed > 0 ? [`${who} missed ${missed} events.`] : []),
      ...(latestMs > latestHeardMs + busyMs
        ? [`${who} heard of something after ${round(latestMs)} ms.`]
        : []),
      ...(showsLast === false ? [`${who} does not show what was written last.`] : []),
    ];
  }),
  ...(grownBytes(soaked) > mostGrowthBytes
    ? [`The server grew by ${round(grownBytes(soaked) / mb)} MB.`]
    : []),
  ...[...soaked.pages].flatMap(([address, times]) => pageFailing(address, times, quickMs)),
];

function captureFailings({ captured, samplesLost, samples, written }: Soaked): readonly string[] {
  const { rows, kept } = captured;
  return [
    ...(rows === 0 || written === 0 ? ["Nothing was sent."] : []),
    ...(kept === rows ? [] : [`Of ${rows} rows ${kept} were kept.`]),
    ...(samplesLost > 0 ? [`Of ${samples} samples ${samplesLost} are not in the trace as sent.`] : []),
  ];
}

/** The most that any later settling had over the first. */
export const grownBytes = ({ memory: [first, ...rest] }: Soaked): number =>
  Math.max(0, ...rest.map(({ ownBytes }) => ownBytes - (first?.ownBytes ?? 0)));

/** Like is held against like: medians, and of twenty visits the slowest but one against the slowest idle one. */
function pageFailing(address: string, times: PageTimes, quickMs: number): readonly string[] {
  const idle = idleOf(times);
  const pairs = [
    [medianOf(times.during), medianOf(idle)],
    [quantileOf(times.during, 0.95), Math.max(...idle)],
  ] as const;
  const slow = pairs.find(([during, rest]) => !(during <= Math.max(quickMs, mostTimes * rest)));
  return slow ? [`${address} took ${round(slow[0])} ms, at rest ${round(slow[1])}.`] : [];
}

/** A page grows with what it shows: at rest is as it was before or as it is after, whichever takes longer. */
export const idleOf = ({ before, after }: PageTimes): readonly number[] =>
  medianOf(before) > medianOf(after) ? before : after;

export const medianOf = (values: readonly number[]): number => quantileOf(values, 0.5);

export function quantileOf(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(share * (sorted.length - 1))] ?? Number.NaN;
}

const round = (value: number): number => Math.round(value);
