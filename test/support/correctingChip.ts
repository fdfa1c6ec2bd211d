import type { EvidenceRow } from "../../server/bench/things/evidenceRow.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import type { Ran, Subject } from "./subject.ts";

/**
 * What a chip corrects before it fails. `makes`: errors 2 to 8 e-folds above its failures, as sharp as they are but for a
 * tenth, every second chip in bursts; `none`: counted, and always nothing; `strays`: a few that no clock explains, once in
 * five hours to five an hour.
 */
export const correctingKinds = ["makes", "none", "strays"] as const;
export type CorrectingKind = (typeof correctingKinds)[number];

/** Writes the errors that were counted into what each run of a chip recorded, one run after another. */
export function errorCounter(kind: CorrectingKind, seed: number): (ran: Ran) => EvidenceRow {
  const random = seededRandom(seed);
  const aboveFailures = random.uniformIn(2, 8);
  const sharper = Math.exp(0.1 * random.normal());
  const inBursts = random.uniform() < 0.5;
  const straysPerHour = Math.exp(random.uniformIn(Math.log(0.2), Math.log(5)));

  const countOf = ({ row, spent }: Ran): number => {
    if (kind === "none") return 0;
    const hours = row.durationS / 3600;
    if (kind === "strays") return poisson(straysPerHour * hours, random);
    // At one failure an hour, sharper and blunter rates of errors meet.
    const hourly = spent / Math.max(hours, 1e-4);
    const mean = hours * hourly ** sharper * Math.exp(aboveFailures);
    return inBursts ? inBurstsOf(mean, random) : poisson(mean, random);
  };
  return (ran) => ({ ...ran.row, correctedErrors: ran.row.durationS === 0 ? null : countOf(ran) });
}

/** The same chip, whose attempts say how many errors were counted; what is drawn for them changes nothing else. */
export function withErrors(subject: Subject, kind: CorrectingKind, seed: number): Subject {
  const counted = errorCounter(kind, seed);
  return {
    ...subject,
    ran: (trial, random) => {
      const ran = subject.ran(trial, random);
      return { ...ran, row: counted(ran) };
    },
  };
}

/** Bursts of five on average, from one to many. */
function inBurstsOf(mean: number, random: SeededRandom): number {
  const bursts = poisson(mean / 5, random);
  const drawn = Math.min(bursts, 1000);
  let sum = 0;
  for (let i = 0; i < drawn; i++) sum += 1 + Math.floor(Math.log(1 - random.uniform()) / Math.log(0.8));
  return drawn === 0 ? 0 : Math.round((sum * bursts) / drawn);
}

/** By waiting times; of many, by the normal that they come to. */
function poisson(mean: number, random: SeededRandom): number {
  if (mean > 200) return Math.max(0, Math.round(mean + Math.sqrt(mean) * random.normal()));
  let count = 0;
  for (let waited = random.exponential(); waited <= mean; waited += random.exponential()) count += 1;
  return count;
}
