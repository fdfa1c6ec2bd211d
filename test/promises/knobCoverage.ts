import { limitAnswerOf } from "../../server/bench/limit/limitCurve.ts";
import { fitOf, type LimitContext, limitGroundsOf } from "../../server/bench/limit/limitFit.ts";
import { clocksAtHazard, limitDrawsOf } from "../../server/bench/limit/limitReach.ts";
import { speakingAsSetNow } from "../../server/bench/order/asSetNow.ts";
import { knobShiftsOf } from "../../server/bench/order/knobShifts.ts";
import { orderTermsOf } from "../../server/bench/order/terms.ts";
import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import type { Knob } from "../../server/bench/things/knob.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { weightedQuantilesOf } from "../../server/numerics/weightedQuantiles.ts";
import {
  chipKinds,
  ranOn,
  type SimulatedChip,
  simulatedChip,
  simulatedSubject,
  trueClockAt,
} from "../support/simulatedChip.ts";
import { hazard, questionFor } from "./walks.ts";

/** A bus that takes clock from the chip as it runs faster, in five steps over the range tried. */
const bus: Knob = {
  id: "bus",
  name: "Bus",
  unit: "MHz",
  step: 100,
  harder: "up",
  belongs: "setting",
  usual: 1800,
  choices: [],
  ceiling: null,
};
const rangeMhz = 500;

/** How a chip does at another bus clock: `share` of its limit over the whole range. */
const atBus = (chip: SimulatedChip, share: number, busMhz: number): SimulatedChip => ({
  ...chip,
  limitMhz: chip.limitMhz * Math.exp((-share * (busMhz - 1800)) / rangeMhz),
});

export type KnobRecord = Readonly<{
  context: LimitContext;
  /** All attempts taken as though the knob did not matter. */
  blind: LimitContext;
  /** The order alone: what nobody compares is left out. */
  without: LimitContext;
  truthMhz: number;
  /** What one step easier truly buys. */
  buysMhz: number;
}>;

export type KnobCase = Readonly<{
  seed: number;
  /** Of the limit over the range tried; drawn as half a normal of 0.03 where nothing is said. */
  share?: number;
  elsewhere: number;
  here: number;
  harder?: Knob["harder"];
}>;

const voltageMv = 1250;

/** A chip tried at several bus clocks, the last few at the one it stands at now. */
export function knobRecord(index: number, asked: KnobCase): KnobRecord {
  const drawn = seededRandom(asked.seed + index);
  const random = seededRandom(asked.seed + 500_000 + index);
  const softness = 14 * Math.exp(0.5 * drawn.normal());
  const chip = simulatedChip(chipKinds[index % chipKinds.length]!, drawn, { softnessMhz: softness });
  const share = asked.share ?? 0.03 * Math.abs(drawn.normal());
  const nowMhz = 1800 + 100 * (1 + drawn.index(4));
  const elsewhere = Array.from({ length: asked.elsewhere }, (_, i) =>
    ran(atBus(chip, share, [1800, 2300, 2000][i % 3]!), [1800, 2300, 2000][i % 3]!, random),
  );
  const here = Array.from({ length: asked.here }, () => ran(atBus(chip, share, nowMhz), nowMhz, random));
  const rows = [...elsewhere, ...here];
  const knob: Knob = { ...bus, harder: asked.harder ?? bus.harder };
  const { context: plain, terms } = contextOf(chip, rows, knob);
  const speaking = speakingAsSetNow(rows, terms);
  const knobs = knobShiftsOf(rows, terms, new Set(speaking));
  const truthMhz = trueClockAt(atBus(chip, share, nowMhz), voltageMv, hazard);
  return {
    context: { ...plain, rows: speaking, knobs },
    blind: plain,
    without: { ...plain, rows: speaking },
    truthMhz,
    buysMhz: trueClockAt(atBus(chip, share, nowMhz - bus.step!), voltageMv, hazard) - truthMhz,
  };
}

function contextOf(chip: SimulatedChip, rows: readonly EvidenceRow[], knob: Knob) {
  const plain = questionFor(simulatedSubject(chip), rows, 1);
  const own = { ...plain.chip, knobs: [knob] };
  return { context: { ...plain, chip: own }, terms: orderTermsOf(own) };
}

function ran(chip: SimulatedChip, busMhz: number, random: SeededRandom): EvidenceRow {
  const clockMhz = 25 * Math.round((trueClockAt(chip, voltageMv, hazard) + 60 * random.normal()) / 25);
  const { row } = ranOn(chip, { clockMhz, voltageMv, minutes: [10, 20, 60][random.index(3)]! }, random);
  return { ...row, knobs: { bus: busMhz } };
}

export type Held = Readonly<{ held: boolean; widthMhz: number }>;

/** Whether the 90 % band of the limit as set now holds the truth. */
export function bandOn(context: LimitContext, truthMhz: number): Held {
  const fit = fitOf(limitGroundsOf(context)!, 1);
  const draws = limitDrawsOf(fit, fit.draws, "all-core");
  const clocks = clocksAtHazard(draws, voltageMv, hazard);
  const [low, high] = weightedQuantilesOf(clocks, draws.weights, [0.05, 0.95]) as [number, number];
  return { held: low <= truthMhz && truthMhz <= high, widthMhz: high - low };
}

/** What the answer says that one step easier buys. */
export function stepOn(context: LimitContext) {
  const answer = limitAnswerOf({ ...context, workloadId: "all-core" });
  return answer.state === "fitted" ? (answer.knobs[0] ?? null) : null;
}
