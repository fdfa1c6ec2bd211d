import { otherLeakyLaw } from "../support/otherLeakyBuild.ts";
import { ownLaw } from "../support/powerLaws.ts";
import { powerSummary } from "../support/powerSummary.ts";
import type { Table } from "./table.ts";

const names = {
  switched: "what switches, where it is told",
  static: "what leaks, where it is told",
  efficiency: "clock per watt at the highest clock",
  lastStep: "cost of the last step",
} as const;

const laws = { "the fit's own law": ownLaw, "another law": otherLeakyLaw } as const;

/** The 95 % ends of a build's power figures over simulated builds whose leakage grows with voltage and heat, by two laws. */
export function powerParts(table: Table, { builds, seed }: Readonly<{ builds: number; seed: number }>): void {
  for (const [law, lawOf] of Object.entries(laws)) {
    const summary = powerSummary(builds, seed, lawOf);
    for (const [figure, name] of Object.entries(names) as [keyof typeof names, string][]) {
      const { asked, held } = summary[figure];
      const share = held / asked;
      const measured = `${(100 * share).toFixed(1)} % of ${asked}`;
      table.promise(`power by ${law}, ${name}`, measured, "93 to 98 %", share >= 0.93 && share <= 0.98);
    }
  }
}
