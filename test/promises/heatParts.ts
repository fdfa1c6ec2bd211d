import { kindSummaries, undisturbedGiven } from "../support/heatKindSummary.ts";
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

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
