import { heldBackWords, minuteOf } from "./heatNotes.ts";
import type { HeatRun, Interval } from "./heatReading.ts";

/** What a heat run says in one sentence, and what it adds. */
export type HeatSentence = Readonly<{
  heading: string;
  more: readonly string[];
  /** The notes of the run that say something else. */
  notes: readonly string[];
}>;

const saidAlready =
  /^(Thermal resistance|The temperature swings|The chip throttled|Held back at|Too early to say|Under load something changed)/;

const degrees = (value: number, decimals = 1): string =>
  `${value.toFixed(decimals).replace("-", "−")}\u00a0°C`;

/** A half-width is worth one decimal, and never less than the tenth it rounds to. */
const plusMinus = (mid: number, half: number): string =>
  half < 2.95
    ? `${mid.toFixed(1).replace("-", "−")}\u00a0±\u00a0${Math.max(0.1, half).toFixed(1)}\u00a0°C`
    : `${mid.toFixed(0).replace("-", "−")}\u00a0±\u00a0${half.toFixed(0)}\u00a0°C`;

const minutes = (seconds: number): string =>
  seconds < 100
    ? `${Math.round(seconds)}\u00a0s`
    : `${(seconds / 60).toFixed(seconds < 600 ? 1 : 0)}\u00a0min`;

/** Where the temperature levelled out, or why that cannot be said. */
export function heatSentenceOf(run: HeatRun): HeatSentence {
  return {
    heading: headingOf(run),
    more: [changeWords(run), levelledWords(run), resistanceWords(run), heldBack(run)].flatMap(
      (words) => words ?? [],
    ),
    notes: run.notes.filter((note) => !saidAlready.test(note)),
  };
}

function headingOf(run: HeatRun): string {
  const { cycle, level, load, final, levelledAtS } = run;
  if (cycle !== null)
    return `It swings between ${degrees(cycle.lowC, 0)} and ${degrees(cycle.highC, 0)} about every ${minutes(cycle.periodS)}${level === null ? "" : `, ${plusMinus(level.meanC, (level.highC - level.lowC) / 2)} on average`}`;
  if (load === null) return "No load is seen in this trace";
  const loadedS = load.toS - load.fromS;
  if (level === null) return `Too early to say: ${minutes(loadedS)} of load are recorded`;
  const mean = plusMinus(level.meanC, (level.highC - level.lowC) / 2);
  if (run.change !== null)
    return `${mean} at the end${riseWords(run)}; something changed at minute ${minuteOf(run.change.atS, run)}`;
  if (levelledAtS !== null) return `Levelled out at ${mean}${riseWords(run)}`;
  if (run.tellsFromS !== null)
    return `${mean} over the last ${minutes(level.windowS)}${riseWords(run)}; where it tends cannot be told before minute ${Math.ceil(run.tellsFromS / 60)}`;
  if (final === null)
    return `${mean} over the last ${minutes(level.windowS)}${riseWords(run)}; too early to say where it tends`;
  if (final.c - level.meanC > 1)
    return `Not levelled: ${mean} at the end, and ${plusMinus(final.c, (final.highC - final.lowC) / 2)} had it run on`;
  return `${mean} at the end${riseWords(run)}, not certain to have levelled`;
}

const riseWords = ({ rise }: HeatRun): string =>
  rise === null ? "" : `, ${degrees(rise.mid)} over the room`;

function levelledWords({ levelledAtS, final }: HeatRun): string | null {
  if (levelledAtS === null || final === null) return null;
  return `It came within 1\u00a0°C of its level after ${minutes(levelledAtS)} of load; had it run on, it would have reached ${plusMinus(final.c, (final.highC - final.lowC) / 2)}.`;
}

const resistanceWords = ({ resistance }: HeatRun): string | null =>
  resistance === null ? null : `That is ${perWatt(resistance)}.`;

/** As many decimals as the interval leaves worth writing, three at most. */
const perWatt = ({ mid, low, high }: Interval): string =>
  `${mid.toFixed(3)}\u00a0±\u00a0${Math.max(0.001, (high - low) / 2).toFixed(3)}\u00a0°C per watt`;

const changeWords = (run: HeatRun): string | null =>
  run.change === null ? null : (run.notes.find((note) => note.includes("something changed")) ?? null);

function heldBack({ throttled, load, heldBackMhz }: HeatRun): string | null {
  if (load === null) return null;
  if (heldBackMhz !== null) return heldBackWords(heldBackMhz);
  if (throttled.length === 0) return "No sign that the chip was held back.";
  const total = throttled.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0);
  return `The chip was held back for ${minutes(total)}: it would have been hotter.`;
}
