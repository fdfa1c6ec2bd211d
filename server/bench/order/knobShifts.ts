import type { KnobValue } from "../things/asSet.ts";
import type { TriedRow } from "../things/evidenceRow.ts";
import { knobAt } from "../things/knob.ts";
import { type Spoken, speakingAsSetNow } from "./asSetNow.ts";
import type { OrderedKnob } from "./knobs.ts";
import type { OrderTerms } from "./terms.ts";

/** One way in which attempts stood elsewhere than the build does now. */
export type KnobColumn = Readonly<{
  knobId: string;
  /** Harder one way, so much over the whole range tried; or a value of which nobody knows which way it lies. */
  kind: "slope" | "offset";
  /** The range tried in the knob's unit, of a slope. */
  range: number | null;
  /** Which side of a window a slope speaks of. */
  side: "above" | "below" | null;
  /** The value that an offset belongs to. */
  value: string | number | null;
  /** How many attempts stood elsewhere in it. */
  attempts: number;
}>;

/** How attempts with other knobs teach a limit. Plain values. */
export type KnobShifts<Row = TriedRow> = Readonly<{
  columns: readonly KnobColumn[];
  /** By attempt, how much harder than now it stood in each column; those that stand as now are not named. */
  of: Readonly<Record<string, readonly number[]>>;
  /** The attempts that say nothing by the order alone. */
  elsewhere: readonly Row[];
}>;

/** More ways than this are not told apart by any record. */
const mostColumns = 8;

type Standing = number | string;
type Read = Readonly<{ knob: OrderedKnob; now: Standing; standings: readonly Standing[] }>;

/**
 * What attempts with other knobs than now may teach, column by column; null where all stand alike. The knobs that differ in
 * most attempts come first; an attempt that differs in one left over teaches nothing more than the order says.
 */
export function knobShiftsOf<Row extends Spoken>(
  rows: readonly Row[],
  terms: Pick<OrderTerms, "knobs" | "coldBelowC" | "appliedBy">,
  speaking: ReadonlySet<Row> = new Set(speakingAsSetNow(rows, terms)),
): KnobShifts<Row> | null {
  const latest = rows.at(-1);
  const counted = terms.knobs.filter(({ belongs }) => belongs === "setting");
  if (latest === undefined || counted.length === 0) return null;
  const usable = speakingAsSetNow(rows, { ...terms, knobs: [] });
  const read = counted
    .map((knob): Read => {
      const now = standingOf(knob, latest);
      return { knob, now, standings: usable.map((row) => standingOf(knob, row)) };
    })
    .filter((one) => differing(one) > 0)
    .sort((a, b) => differing(b) - differing(a));
  const fitted: (readonly Shift[])[] = [];
  for (const one of read) {
    const shifts = shiftsOf(one);
    if (fitted.flat().length + shifts.length > mostColumns) break;
    fitted.push(shifts);
  }
  if (fitted.length === 0) return null;
  const left = read.slice(fitted.length);
  const shifts = fitted.flat();
  const isTold = usable.map(
    (row, i) => speaking.has(row) || left.every(({ now, standings }) => standings[i] === now),
  );
  const of = usable.flatMap((row, i) => {
    const by = shifts.map(({ by }) => by[i]!);
    return isTold[i] && by.some((shift) => shift !== 0) ? [[row.id, by] as const] : [];
  });
  return {
    columns: shifts.map(({ by, ...column }) => ({
      ...column,
      attempts: by.filter((shift, i) => isTold[i] && shift !== 0).length,
    })),
    of: Object.fromEntries(of),
    elsewhere: usable.filter((row, i) => isTold[i] && !speaking.has(row)),
  };
}

const differing = ({ now, standings }: Read): number => standings.filter((value) => value !== now).length;

/** One left to the board and not told of is a value of its own. */
function standingOf(knob: OrderedKnob, { knobs }: Spoken): Standing {
  const value: KnobValue = knobAt(knob, knobs);
  return typeof value === "object" ? value.auto : value;
}

type Shift = Omit<KnobColumn, "attempts"> & Readonly<{ by: readonly number[] }>;

function shiftsOf(read: Read): readonly Shift[] {
  const { knob, now, standings } = read;
  const numbers = [...standings, now].filter((value) => typeof value === "number");
  const isNumbered = knob.harder === "up" || knob.harder === "down";
  const middle = typeof knob.usual === "number" ? knob.usual : null;
  const slopes = isNumbered
    ? slopeOf(read, numbers, knob.harder === "up" ? (value) => value : (value) => -value)
    : knob.harder === "window" && middle !== null
      ? [
          ...slopeOf(read, numbers, (value) => Math.max(0, value - middle), "above"),
          ...slopeOf(read, numbers, (value) => Math.max(0, middle - value), "below"),
        ]
      : [];
  const takesNumbers = isNumbered || (knob.harder === "window" && middle !== null);
  const named = [...new Set([...standings, now])].filter(
    (value) => typeof value === "string" || !takesNumbers,
  );
  const others = named.filter((value) => value !== now || takesNumbers);
  return [
    ...slopes,
    ...others.flatMap((value): Shift[] => {
      const is = (standing: Standing): number => (standing === value ? 1 : 0);
      const by = standings.map((standing) => is(standing) - is(now));
      return by.every((shift) => shift === 0)
        ? []
        : [{ knobId: knob.id, kind: "offset", range: null, side: null, value, by }];
    }),
  ];
}

/** How much harder each stood than now, over the range tried; where now is no number, than the mean of the numbers. */
function slopeOf(
  { knob, now, standings }: Read,
  numbers: readonly number[],
  hardness: (value: number) => number,
  side: KnobColumn["side"] = null,
): readonly Shift[] {
  const hard = numbers.map(hardness);
  const range = Math.max(...hard) - Math.min(...hard);
  if (!(range > 0)) return [];
  const from =
    typeof now === "number" ? hardness(now) : hard.reduce((sum, value) => sum + value, 0) / hard.length;
  const by = standings.map((value) => (typeof value === "number" ? (hardness(value) - from) / range : 0));
  return [{ knobId: knob.id, kind: "slope", range, side, value: null, by }];
}
