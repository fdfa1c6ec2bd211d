import { kindSummaries, undisturbedGiven } from "../support/heatKindSummary.ts";
import { type HeatStep, heatSteps, leakyHeatHeld } from "../support/leakyHeat.ts";
import type { Table } from "./table.ts";

const lengthsS = [450, 600, 900] as const;

/** What a run tends to, over ten kinds of runs read after seven and a half minutes, ten and fifteen. */
export function heatParts(table: Table, { runs, seed }: Readonly<{ runs: number; seed: number }>): void {
  const byLength = lengthsS.map((underS) => kindSummaries(Math.ceil(runs / 10), underS, seed));
  const late = byLength.at(-1) ?? [];
  const share = undisturbedGiven(late);
  table.promise("heat: an end given in undisturbed runs by minute 15", percent(share), "80 %", share >= 0.8);
  for (const [i, { kind }] of late.entries()) {
    const sum = (of: "given" | "held") => byLength.reduce((all, kinds) => all + (kinds[i]?.[of] ?? 0), 0);
    const [given, held] = [sum("given"), sum("held")];
    if (given === 0) table.figure(`heat, ${kind}: ends given`, "none");
    else
      table.promise(
        `heat, ${kind}: end held`,
        `${percent(held / given)} of ${given}`,
        "90 to 98 %",
        held / given >= 0.9 && held / given <= 0.98,
      );
  }
  for (const [at, underS] of lengthsS.entries()) {
    const calm = byLength[at]?.find(({ kind }) => kind === "plain");
    const half = calm === undefined || calm.given === 0 ? "none given" : `${calm.halfWidthC.toFixed(2)} °C`;
    table.figure(`heat, plain: median half-width after ${underS / 60} min`, half);
  }
  const every = byLength.flat();
  const stops = every.reduce((all, one) => all + one.stops, 0);
  const wrong = every.reduce((all, one) => all + one.wrongStops, 0);
  table.promise(
    'heat: "you may stop" wrong by over 2 °C',
    `${percent(wrong / stops)} of ${stops}`,
    "2 %",
    wrong <= 0.02 * stops,
  );
}

/** A setting that was not tried, on builds whose leakage grows with voltage and heat. */
export function heatElsewhereParts(
  table: Table,
  { builds, seed }: Readonly<{ builds: number; seed: number }>,
): void {
  for (const step of Object.keys(heatSteps) as HeatStep[]) {
    const ask = (withPower: boolean) => leakyHeatHeld(step, { builds, seed, withPower });
    const [without, withPower] = [ask(false), ask(true)];
    for (const [name, one] of [
      ["no power read", without],
      ["power read", withPower],
    ] as const)
      table.promise(
        `heat at ${step}, ${name}: 90 % interval holds, half-width ${one.halfWidthC.toFixed(1)} °C`,
        percent(one.held / one.asked),
        "87 %",
        one.held >= 0.87 * one.asked,
      );
    const narrower = withPower.halfWidthC <= without.halfWidthC;
    table.promise(`heat at ${step}: no wider with power read`, narrower ? "yes" : "no", "yes", narrower);
  }
}

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
