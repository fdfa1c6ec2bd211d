import type { Use } from "../things/aim.ts";

/** A setting is acceptable where the chance of surviving so many loaded hours is at least this. */
export type Target = Readonly<{ chance: number; hours: number }>;

export const targetOfUse: Readonly<Record<Use, Target>> = {
  benchmark: { chance: 0.9, hours: 1 },
  daily: { chance: 0.9, hours: 8 },
  unattended: { chance: 0.99, hours: 24 },
};

/** An answer passes so many hours with this chance, by all that is believed of the chip: it is our knowledge that it speaks of. */
export const answerOfUse: Readonly<Record<Use, Target>> = {
  benchmark: { chance: 0.95, hours: 1 },
  daily: { chance: 0.95, hours: 8 },
  unattended: { chance: 0.99, hours: 24 },
};

/** The hazard, in crashes per loaded minute, that just meets a target. */
export const acceptableHazardPerMinute = ({ chance, hours }: Target): number =>
  -Math.log(chance) / (60 * hours);

/** "about one crash per 10 hours", with no more digits than such a figure deserves. */
export function crashesInWords(hazardPerMinute: number): string {
  const hours = 1 / (60 * hazardPerMinute);
  if (hours < 1) return `about one crash per ${roundedTo(60 * hours)} minutes`;
  return `about one crash per ${roundedTo(hours)} hours`;
}

/** One digit below a hundred counts of ten, two above: 9.5 is 10, 76 is 80, 2388 is 2400. */
function roundedTo(value: number): string {
  if (value < 9.5) return String(Math.max(1, Math.round(value)));
  const digits = value < 95 ? 1 : 2;
  const unit = 10 ** (Math.floor(Math.log10(value)) + 1 - digits);
  return String(Math.round(value / unit) * unit);
}
