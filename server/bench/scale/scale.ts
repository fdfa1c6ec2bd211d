/**
 * One thing that is set in steps, all else as it stands: an offset, or a knob with a direction. A step is worth a share of
 * what the chip can do, and with that share the survival of its clock carries over to it.
 */
export type Scale = Readonly<{
  name: string;
  unit: string;
  step: number;
  harder: "up" | "down";
  /** Where it stands as the chip came. */
  usual: number;
  /** How much of the limit one step is worth, as a share: a clock step of 15 MHz at 2500 MHz is worth 0.006. */
  shareOfStep: number;
  /** Whether what the chip came with tells that share; else it is what is usual. */
  known: boolean;
  /** The least and the most that may be set; null where nobody said. */
  low: number | null;
  high: number | null;
}>;

/** What of an offset's meaning and of the chip's stock point makes its scale. */
export type OffsetScaled = Readonly<{
  offset: Readonly<{
    name: string;
    unit: "mV" | "MHz" | "%" | "counts";
    step: number;
    harder: "up" | "down";
    low: number | null;
    high: number | null;
    countIsAboutMv: number | null;
  }>;
  stockClockMhz: number | null;
  stockVoltageMv: number | null;
}>;

/** By this power of the voltage the limit moves, before any attempt (as in the limit's own prior). */
const perVoltage = 0.6;
/** Where the stock point is not entered (common practice for what is set by offset). */
const usualStock = { clockMhz: 2500, voltageMv: 1100 };
/** Of a step whose worth nobody knows: what a step of 25 MHz is at 5 GHz. */
const usualShareOfStep = 0.005;

export function scaleOfOffset({ offset, stockClockMhz, stockVoltageMv }: OffsetScaled): Scale {
  const { name, unit, step, harder, low, high, countIsAboutMv } = offset;
  const mv = (millivolts: number): number =>
    (perVoltage * millivolts) / (stockVoltageMv ?? usualStock.voltageMv);
  const share = {
    mV: mv(step),
    MHz: step / (stockClockMhz ?? usualStock.clockMhz),
    "%": (harder === "up" ? 1 : perVoltage) * (step / 100),
    counts: countIsAboutMv === null ? usualShareOfStep : mv(step * countIsAboutMv),
  }[unit];
  const known = {
    mV: stockVoltageMv !== null,
    MHz: stockClockMhz !== null,
    "%": true,
    counts: stockVoltageMv !== null && countIsAboutMv !== null,
  }[unit];
  return { name, unit, step, harder, usual: 0, shareOfStep: share, known, low, high };
}

/** A knob that has a step and a direction, of which nobody knows what a step is worth. */
export const scaleOfKnob = (
  knob: Readonly<{
    name: string;
    unit: string;
    step: number;
    harder: "up" | "down";
    usual: number;
    ceiling: number | null;
  }>,
): Scale => ({
  name: knob.name,
  unit: knob.unit,
  step: knob.step,
  harder: knob.harder,
  usual: knob.usual,
  shareOfStep: usualShareOfStep,
  known: false,
  low: null,
  high: knob.ceiling,
});

/** A stock clock of so many that a share of it is exact to a thousandth of a part in a thousand. */
const stockParts = 1000;

/**
 * The scale laid out as clocks at one voltage, in atThousandth of what the stock setting asks: the machinery of the limit
 * runs on those. A step is the same number of parts everywhere, so that settings and clocks stand for one another exactly.
 */
export type ScaleAsClock = Readonly<{
  stockParts: number;
  stepParts: number;
  partsAt: (level: number) => number;
  levelAt: (parts: number) => number;
}>;

/** Easier than this share of stock no setting is. */
const leastShare = 0.05;

export function scaleAsClock({ step, harder, usual, shareOfStep }: Scale): ScaleAsClock {
  const stepParts = atThousandth(stockParts * shareOfStep);
  const sign = harder === "up" ? 1 : -1;
  const hardest = (level: number): number => (sign * (level - usual)) / step;
  return {
    stockParts,
    stepParts,
    partsAt: (level) =>
      atThousandth(Math.max(leastShare * stockParts, stockParts + hardest(level) * stepParts)),
    levelAt: (parts) => atThousandth(usual + (sign * step * (parts - stockParts)) / stepParts),
  };
}

/** Levels are told to a thousandth, so that 0.3 less 0.1 is 0.2. */
export const atThousandth = (value: number): number => Math.round(1000 * value) / 1000;
