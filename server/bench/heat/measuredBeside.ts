import * as z from "zod";
import type { Attempt, AttemptEdit } from "../things/attempt.ts";
import { type MeasuredFigures, type TraceFigures, takesPlace } from "./traceFigures.ts";

type Name = keyof MeasuredFigures;
type Figure = number | boolean | null;
type Edits = readonly Readonly<{ changes: Readonly<Record<string, readonly [unknown, unknown]>> }>[];

/** A figure of an attempt as typed and as measured, where the two say different things; `used` is what every answer takes. */
export type Beside = Readonly<{
  name: Name | "clockMhz";
  typed: Figure;
  measured: Figure;
  used: "typed" | "measured";
}>;

/** What a tester may say of it: all that was measured counts, what was typed counts, or one of several clocks does. */
export const measuredSaid = z
  .strictObject({
    use: z.enum(["log", "typed"], { error: 'use is "log" or "typed".' }).nullish(),
    clock: z.string().min(1).max(80).nullish(),
  })
  .refine(({ use, clock }) => (use == null) !== (clock == null), {
    error: "Say either what counts, or which clock.",
  });
export type MeasuredSaid = z.infer<typeof measuredSaid>;

const tenths = (value: Figure): Figure => (typeof value === "number" ? Math.round(value * 10) / 10 : value);

/** Power and voltage read elsewhere than at the chip are another reading, and stay beside the trace's. */
function isAnotherReading(attempt: Attempt, name: Name): boolean {
  if (attempt[name] === null) return false;
  if (name === "powerW") return attempt.powerAt !== null && attempt.powerAt !== "chip";
  return name === "loadVoltageMv" && attempt.voltageReadAt !== null && attempt.voltageReadAt !== "chip";
}

const namesOf = (measured: MeasuredFigures): Name[] => Object.keys(measured) as Name[];

/** The edit that lets an attempt speak as its trace measured. */
export function takenFrom(attempt: Attempt, measured: MeasuredFigures): AttemptEdit {
  const taken: Record<string, Figure | string> = {};
  for (const name of namesOf(measured)) {
    const figure = tenths(measured[name]);
    if (!isAnotherReading(attempt, name) && takesPlace(name, figure, attempt[name])) taken[name] = figure;
  }
  if ("powerW" in taken) taken.powerAt = attempt.powerAt ?? "chip";
  if ("loadVoltageMv" in taken) taken.voltageReadAt = attempt.voltageReadAt ?? "chip";
  const edit = taken as AttemptEdit;
  const { loadTempC, peakTempC } = { ...attempt, ...edit };
  if (loadTempC != null && peakTempC != null && peakTempC < loadTempC)
    delete edit["peakTempC" in edit ? "peakTempC" : "loadTempC"];
  return edit;
}

/** Where the trace and what was typed disagree, and which of them counts. */
export function besideOf(attempt: Attempt, { measured }: TraceFigures, edits: Edits): readonly Beside[] {
  const figures = namesOf(measured).flatMap((name): Beside[] => {
    const figure = tenths(measured[name]);
    if (figure === null || isAnotherReading(attempt, name)) return [];
    if (takesPlace(name, figure, attempt[name]))
      return attempt[name] === null ? [] : [{ name, typed: attempt[name], measured: figure, used: "typed" }];
    const typed = replacedBy(name, attempt[name], edits);
    return typed !== null && takesPlace(name, figure, typed)
      ? [{ name, typed, measured: figure, used: "measured" }]
      : [];
  });
  return [...setClock(attempt, measured), ...figures];
}

/** The clock that was set stays what was set; a run that did not reach it speaks of what it reached. */
function setClock(attempt: Attempt, { effectiveClockMhz: measured }: MeasuredFigures): readonly Beside[] {
  const { clockMhz, effectiveClockMhz, clockMode } = attempt;
  if (
    measured === null ||
    clockMhz === null ||
    clockMode === "boost" ||
    Math.abs(measured - clockMhz) <= 0.01 * clockMhz
  )
    return [];
  const isUsed = effectiveClockMhz !== null && !takesPlace("effectiveClockMhz", measured, effectiveClockMhz);
  return [{ name: "clockMhz", typed: clockMhz, measured, used: isUsed ? "measured" : "typed" }];
}

/** What an edit put the present figure in place of; null where nothing stood there. */
function replacedBy(name: Name, standing: Figure, edits: Edits): Figure {
  const last = edits.findLast(({ changes }) => name in changes)?.changes[name];
  return last !== undefined && last[1] === standing ? (last[0] as Figure) : null;
}

/** The edit that puts back what was typed; a figure that nothing stood in place of is taken away only where it moved the clock. */
export function typedAgain(attempt: Attempt, figures: TraceFigures, edits: Edits): AttemptEdit {
  const back: Record<string, Figure> = {};
  for (const { name, typed, used } of besideOf(attempt, figures, edits)) {
    if (used === "typed") continue;
    if (name !== "clockMhz") back[name] = typed;
    else {
      back.effectiveClockMhz = replacedBy("effectiveClockMhz", attempt.effectiveClockMhz, edits);
      back.throttled = replacedBy("throttled", attempt.throttled, edits);
    }
  }
  return back as AttemptEdit;
}
