import type { Changing } from "./changeUnderWay.ts";
import {
  earliestFinalS,
  earliestLevelS,
  type HeatQuestion,
  type HeatRun,
  startSlackS,
} from "./heatReading.ts";
import { between, type HeatTrace, meanOf, readingsOf, shareOf, type TimedValues } from "./heatTrace.ts";

export type NoteGrounds = Readonly<{
  trace: HeatTrace;
  sound: TimedValues;
  question: HeatQuestion;
}>;

type Noted = Omit<HeatRun, "notes">;

const degrees = (value: number): string => `${value.toFixed(1)} °C`;
const seconds = (value: number): string => `${Math.round(value)} s`;

/** What a person must know to read the figures, a sentence each, the weightiest first. */
export function heatNotes(run: Noted, grounds: NoteGrounds): readonly string[] {
  return [
    noReadings(grounds),
    noLoad(run, grounds),
    tooEarly(run),
    changed(run),
    cycling(run),
    tooSlow(run),
    notLevelled(run),
    hardlyMoves(run),
    throttling(run),
    startUnseen(run),
    warmStart(run, grounds),
    roomMoved(run, grounds),
    roomUnknown(run),
    resistance(run),
    gaps(run),
  ].filter((note) => note !== null);
}

const noReadings = ({ sound }: NoteGrounds): string | null =>
  sound.t.length === 0 ? "The trace holds no temperature." : null;

const noLoad = ({ load }: Noted, { sound }: NoteGrounds): string | null =>
  load === null && sound.t.length > 0
    ? "The temperature does not change, so no load start can be seen; give the load start where there was a load."
    : null;

const loadedS = ({ load }: Noted): number | null => (load === null ? null : load.toS - load.fromS);

function tooEarly(run: Noted): string | null {
  const under = loadedS(run);
  if (under === null || under >= earliestFinalS - startSlackS) return null;
  const what =
    under < earliestLevelS && run.level === null ? "the level and where it tends" : "where it tends";
  return `Too early to say ${what}: ${seconds(under)} of load are recorded, and ${seconds(earliestFinalS)} are needed.`;
}

const cycling = ({ cycle }: Noted): string | null =>
  cycle === null
    ? null
    : `The temperature swings between ${degrees(cycle.lowC)} and ${degrees(cycle.highC)} about every ${seconds(cycle.periodS)}, so the level is the mean over whole cycles, and no end is forecast.`;

const changeWords: Readonly<Record<Changing, string>> = {
  fan: "the fan speed stepped",
  clock: "the clock stepped",
  load: "the load stepped",
  power: "the power stepped",
  room: "the room stepped",
};

/** In whole minutes of load. */
export const minuteOf = (atS: number, { load }: Pick<HeatRun, "load">): number =>
  Math.max(1, Math.round((atS - (load?.fromS ?? 0)) / 60));

function changed(run: Noted): string | null {
  if (run.change === null) return null;
  const { atS, what } = run.change;
  const why = what === null ? "the readings leave their course" : changeWords[what];
  return `Under load something changed at minute ${minuteOf(atS, run)}: ${why}. No end is forecast through that; the level is that of the last minutes.`;
}

const tooSlow = ({ tellsFromS }: Noted): string | null =>
  tellsFromS === null
    ? null
    : `The course is slow: where it tends cannot be told before minute ${Math.ceil(tellsFromS / 60)} of the load.`;

function notLevelled(run: Noted): string | null {
  const { remainderC } = run;
  if (run.final === null || run.levelledAtS !== null || remainderC === null) return null;
  if (remainderC <= 1) return "Not certain to have levelled: no curve fits well enough to say when.";
  return `Not levelled: about ${degrees(remainderC)} are still to come.`;
}

function hardlyMoves(run: Noted): string | null {
  const under = loadedS(run);
  const isLong = under !== null && under >= earliestFinalS - startSlackS;
  if (!isLong || run.final !== null || run.cycle !== null || run.change !== null || run.tellsFromS !== null)
    return null;
  return "The temperature hardly changes under this load, so no curve is fitted.";
}

function throttling({ throttled, heldBackMhz }: Noted): string | null {
  if (throttled.length === 0) return null;
  if (heldBackMhz !== null) return heldBackWords(heldBackMhz);
  const total = throttled.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0);
  const times = throttled.length === 1 ? "once" : `${throttled.length} times`;
  return `The chip throttled ${times}, for ${seconds(total)} in all: the temperature is that of a chip held back.`;
}

/** What a forecast must say of a run that was held back. */
export const heldBackWords = (mhz: number): string =>
  `Held back at ${Math.round(mhz)} MHz: unthrottled it would level higher.`;

const startUnseen = ({ load }: Noted): string | null =>
  load?.foundFrom === "first row"
    ? "The trace begins under load: its first row is taken as the load start."
    : null;

const coolingPerMinute = -1.5;

/** A warm start shows in cooling before the load, in how the run was noted, or in a first reading far over the room. */
function warmStart(run: Noted, { sound, question }: NoteGrounds): string | null {
  const { load, level, ambientC } = run;
  if (load === null) return null;
  const before = between(sound, load.fromS - 60, load.fromS - 1);
  const half = before.values.length >> 1;
  const change = (meanOf(before.values.subarray(half)) ?? 0) - (meanOf(before.values.subarray(0, half)) ?? 0);
  const coolsBefore = before.values.length >= 20 && change * 2 < coolingPerMinute;
  const first = meanOf(between(sound, load.fromS - 3, load.fromS).values);
  const isHot =
    level !== null &&
    ambientC !== null &&
    first !== undefined &&
    first - ambientC > 0.6 * (level.meanC - ambientC);
  if (question.startKind !== "warm" && !coolsBefore && !isHot) return null;
  return "Warm start: the heatsink still held heat when the load came on; the fit takes the rise from there.";
}

function roomMoved({ load }: Noted, { trace }: NoteGrounds): string | null {
  if (load === null || trace.ambient === undefined) return null;
  const { values } = between(readingsOf(trace.t, trace.ambient), load.fromS, load.toS);
  const moved = (shareOf(values, 0.95) ?? 0) - (shareOf(values, 0.05) ?? 0);
  return moved >= 0.5
    ? `The room moved by ${degrees(moved)} under load; rise and fit are corrected for it.`
    : null;
}

const roomUnknown = ({ ambientC, level }: Noted): string | null =>
  ambientC === null && level !== null
    ? "No room temperature is known, so no rise over it can be given."
    : null;

const resistance = ({ resistance: found }: Noted): string | null =>
  found === null
    ? null
    : `Thermal resistance ${found.mid.toFixed(3)} °C/W, by scatter between ${found.low.toFixed(3)} and ${found.high.toFixed(3)}.`;

function gaps({ gaps: found }: Noted): string | null {
  if (found.length === 0) return null;
  const total = found.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0);
  return `${found.length === 1 ? "A gap" : `${found.length} gaps`} of ${seconds(total)} in all without readings.`;
}
