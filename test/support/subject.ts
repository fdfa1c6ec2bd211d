import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import type { SeededRandom } from "../../server/numerics/seededRandom.ts";

export type Trial = Readonly<{ clockMhz: number; voltageMv: number; minutes: number }>;
/** `spent` is the hazard from the clock over the run, in failures that were to be expected of it. */
export type Ran = Readonly<{ row: EvidenceRow; benchMinutes: number; spent: number }>;

export const benchCosts = { setupMinutes: 2, crashMinutes: 4, noStartMinutes: 6 };

/** A simulated chip whose truth can be asked, whatever it is made of. Hazards are from the clock alone, once levelled. */
export type Subject = Readonly<{
  stock: Readonly<{ clockMhz: number; voltageMv: number }>;
  ceilingMv: number;
  /** The hazard grows e-fold over so many MHz. */
  softnessMhz: number;
  hazardAt: (clockMhz: number, voltageMv: number) => number;
  /** The clock whose hazard is the one given. */
  clockAt: (voltageMv: number, hazardPerMinute: number) => number;
  /** One run on the bench, and what it cost. */
  ran: (trial: Trial, random: SeededRandom) => Ran;
}>;

/** The lowest voltage that holds a clock at the hazard given, to half a millivolt. */
export function voltageFor(subject: Subject, clockMhz: number, hazardPerMinute: number): number {
  for (let voltageMv = 600; voltageMv < 2000; voltageMv += 0.5)
    if (subject.clockAt(voltageMv, hazardPerMinute) >= clockMhz) return voltageMv;
  return Number.POSITIVE_INFINITY;
}

/** The clock at which a rising hazard is the one given, between the two. */
export function clockOfHazard(
  hazardAt: (clockMhz: number) => number,
  hazardPerMinute: number,
  [low, high]: readonly [number, number] = [500, 20_000],
): number {
  let [below, above] = [low, high];
  for (let step = 0; step < 50; step++) {
    const middle = (below + above) / 2;
    if (hazardAt(middle) > hazardPerMinute) above = middle;
    else below = middle;
  }
  return below;
}
