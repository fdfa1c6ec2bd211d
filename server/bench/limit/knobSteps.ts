import { type Particles, pointOf, resampled } from "../../numerics/particles.ts";
import { weightedQuantilesOf } from "../../numerics/weightedQuantiles.ts";
import type { KnobColumn } from "../order/knobShifts.ts";
import { type KnobValue, type KnobValues, knobValueWords } from "../things/asSet.ts";
import { type Knob, knobAt } from "../things/knob.ts";
import { knobMapOf } from "./knobEffects.ts";
import type { LimitFit } from "./limitFit.ts";

/** What moving one knob, all else as it stands, does to what holds: 95 % interval, both settings drawn together. */
export type KnobStep = Readonly<{
  knobId: string;
  name: string;
  unit: string;
  from: KnobValue;
  to: KnobValue;
  gain: number;
  low: number;
  high: number;
  /** How many attempts stood elsewhere. */
  attempts: number;
  /** Whether it is told apart from nothing; too few stood elsewhere to ask under three. */
  verdict: "differs" | "within-scatter" | "not-enough";
}>;

export type KnobsQuestion = Readonly<{
  knobs: readonly Knob[];
  asSet: KnobValues | null;
  /** What holds as things stand, for each draw. */
  limits: (draws: Particles) => Float64Array;
}>;

const mostDraws = 1000;
const leastAttempts = 3;

/** One step easier of each knob with a direction; of any other knob, each value that was tried. */
export function knobStepsOf(fit: LimitFit, asked: KnobsQuestion): KnobStep[] {
  if (fit.knobs.length === 0) return [];
  const draws = resampled(fit.draws, mostDraws, 0.5);
  const limits = asked.limits(draws);
  return fit.knobs.flatMap((column, j) => {
    const knob = asked.knobs.find(({ id }) => id === column.knobId);
    const move = knob && moveOf(knob, column, knobAt(knob, asked.asSet));
    if (knob === undefined || move === null || move === undefined) return [];
    const { at } = knobMapOf(column);
    const gains = limits.map(
      (limit, k) => limit * Math.expm1(move.shift * at(pointOf(draws, k)[fit.model.knobPlace + j]!)),
    );
    const { from, to } = move;
    const { knobId, attempts } = column;
    return [
      { knobId, name: knob.name, unit: knob.unit, from, to, attempts, ...toldOf(gains, draws, column) },
    ];
  });
}

type Move = Readonly<{ from: KnobValue; to: KnobValue; shift: number }>;

/** The next easier value; null where nobody can say what that is. */
function moveOf({ harder, step, usual, choices }: Knob, column: KnobColumn, now: KnobValue): Move | null {
  if (column.kind === "offset")
    return column.value === null || column.value === standing(now)
      ? null
      : { from: now, to: column.value, shift: 1 };
  const from = standing(now);
  if (typeof from !== "number" || column.range === null) return null;
  const by = step ?? column.range;
  const easier = harder === "up" ? -1 : harder === "down" ? 1 : easierInWindow(from, usual, column);
  if (easier === 0 || choices.length > 0) return null;
  return { from: now, to: tidy(from + easier * by), shift: -by / column.range };
}

const standing = (value: KnobValue): string | number => (typeof value === "object" ? value.auto : value);
const tidy = (value: number): number => Math.round(1e6 * value) / 1e6;

/** Of the two sides of a window only the one it stands on can be made easier. */
function easierInWindow(from: number, usual: KnobValue, column: KnobColumn): number {
  if (typeof usual !== "number" || from === usual) return 0;
  const side = from > usual ? "above" : "below";
  return side === column.side ? (side === "above" ? -1 : 1) : 0;
}

/**
 * A knob with a direction cannot make things worse, so that its draws all lie on one side: it is told apart from nothing
 * where their mean lies two deviations away, and else may buy nothing.
 */
function toldOf(
  gains: Float64Array,
  { weights }: Particles,
  { kind, attempts }: KnobColumn,
): Pick<KnobStep, "gain" | "low" | "high" | "verdict"> {
  const [low, gain, high] = weightedQuantilesOf(gains, weights, [0.025, 0.5, 0.975]) as [
    number,
    number,
    number,
  ];
  const mean = gains.reduce((sum, gain, k) => sum + weights[k]! * gain, 0);
  const variance = gains.reduce((sum, gain, k) => sum + weights[k]! * (gain - mean) ** 2, 0);
  const isApart = kind === "slope" ? mean > 1.96 * Math.sqrt(variance) : low > 0 || high < 0;
  const verdict = attempts < leastAttempts ? "not-enough" : isApart ? "differs" : "within-scatter";
  return { gain, low: kind === "slope" && verdict !== "differs" ? 0 : low, high, verdict };
}

/** In words, gains in the unit given: "One step of CL, from 30 to 32, buys 40 MT/s (20 to 60)." */
export function knobStepInWords(told: KnobStep, gainUnit: string): string {
  const { name, unit, from, to, low, gain, high, attempts, verdict } = told;
  const number = (value: number): string => `${value < 0 ? "−" : ""}${rounded(Math.abs(value))}`;
  const values = `from ${knobValueWords(from)} to ${knobValueWords(to)}${unit === "" ? "" : ` ${unit}`}`;
  const change = `${name}, ${values}`;
  const range = `${number(low)} to ${number(high)}`;
  if (verdict === "not-enough")
    return `${change}: ${attempts === 1 ? "one attempt" : `${attempts} attempts`} with another value, too few to say what it buys.`;
  if (verdict === "differs")
    return gain > 0
      ? `${change}, buys ${number(gain)} ${gainUnit} (${range}).`
      : `${change}, costs ${number(-gain)} ${gainUnit} (${number(-high)} to ${number(-low)}).`;
  return low === 0
    ? `${change}, buys ${number(high)} ${gainUnit} at most, perhaps nothing.`
    : `${change}: ${number(gain)} ${gainUnit} (${range}), not told apart from nothing.`;
}

const rounded = (value: number): number => (value >= 20 ? Math.round(value) : Math.round(10 * value) / 10);
