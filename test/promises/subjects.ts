import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { harshHeat, otherChip, otherSubject } from "../support/otherChip.ts";
import { chipKinds, simulatedChip, simulatedSubject } from "../support/simulatedChip.ts";
import type { Subject } from "../support/subject.ts";

export const simulators = ["first", "second"] as const;
/** Besides, the second with chips that heat costs two to three times as much clock. */
export type Simulator = (typeof simulators)[number] | "harsh";

/** How soft limits are: as drawn broadly, as usual chips are, and beyond both ends. */
export const populations = ["broad", "ordinary", "sharp", "soft"] as const;
/** Besides, for what others teach: all chips alike, 8 MHz an e-fold or 42. */
const alike = ["8 MHz", "42 MHz"] as const;
export type Population = (typeof populations)[number] | (typeof alike)[number];

/** MHz for an e-fold of hazard: broad is lognormal about 14 with a deviation of 0.5, ordinary 8 to 15. */
const softnessOf: Readonly<Record<Population, (random: SeededRandom) => number>> = {
  broad: (random) => 14 * Math.exp(0.5 * random.normal()),
  ordinary: (random) => random.uniformIn(8, 15),
  sharp: (random) => 0.5 * random.uniformIn(8, 15),
  soft: (random) => 3 * random.uniformIn(8, 15),
  "8 MHz": () => 8,
  "42 MHz": () => 42,
};

export type Bench = Readonly<{ subject: Subject; random: SeededRandom }>;

/** Another board and cooler under the same chip: by these factors its limit and its cooler's resistance are others. */
export type Elsewhere = Readonly<{ limit: number; resistance: number }>;

const here: Elsewhere = { limit: 1, resistance: 1 };

/** The chip of a number, the same for every rule tried on it, and the chance of its bench. */
export function benchOf(
  seed: number,
  index: number,
  population: Population,
  simulator: Simulator,
  elsewhere = here,
): Bench {
  const drawn = seededRandom(seed + index);
  const softness = softnessOf[population](seededRandom(seed + 900_000 + index));
  const subject =
    simulator === "first"
      ? firstOf(index, softness, drawn, elsewhere)
      : secondOf(softness, drawn, simulator === "harsh", elsewhere);
  return { subject, random: seededRandom(seed + 500_000 + index) };
}

/** A softness goes with the limit: so many MHz at 5200. */
function firstOf(index: number, softness: number, random: SeededRandom, elsewhere: Elsewhere): Subject {
  const chip = simulatedChip(chipKinds[index % chipKinds.length]!, random);
  return simulatedSubject({
    ...moved(chip, elsewhere),
    softnessMhz: (softness * chip.limitMhz) / 5200,
  });
}

const secondOf = (softness: number, random: SeededRandom, isHarsh: boolean, elsewhere: Elsewhere): Subject =>
  otherSubject(
    moved(otherChip(random, { softnessMhz: softness, ...(isHarsh && harshHeat(random)) }), elsewhere),
  );

const moved = <Chip extends Readonly<{ limitMhz: number; resistanceCPerW: number }>>(
  chip: Chip,
  { limit, resistance }: Elsewhere,
): Chip => ({
  ...chip,
  limitMhz: limit * chip.limitMhz,
  resistanceCPerW: resistance * chip.resistanceCPerW,
});
