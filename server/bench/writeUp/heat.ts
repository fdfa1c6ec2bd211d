import type { Account } from "./account.ts";
import { type Block, column, table, wordsColumn } from "./block.ts";
import { clockFigure, figure, intervalFigure, inWords, minutesFigure } from "./figures.ts";

const columnsFor = (clockUnit: string) => [
  wordsColumn("Build"),
  column("Level", "°C"),
  column("Room", "°C"),
  column("Rise", "°C"),
  column("95 % by scatter", "°C"),
  column("Power", "W"),
  column("Resistance", "°C/W"),
  column("Levelled after", "min"),
  column("Held back at", clockUnit),
];

/** How warm each build got, like with like: the curves, and the figures read from them. */
export function heat({ heat: told, builds }: Account): Block[] {
  if (told === null) return [];
  const { setting, asRise, runs, without } = told;
  const rows = runs.map(({ buildName, run }) => [
    buildName,
    figure(run.level?.meanC, 1),
    figure(run.ambientC, 1),
    figure(run.rise?.mid, 1),
    intervalFigure(run.rise?.low ?? null, run.rise?.high ?? null, 1),
    figure(run.powerW, 0),
    figure(run.resistance?.mid, 3),
    minutesFigure(run.levelledAtS),
    clockFigure(run.heldBackMhz),
  ]);
  const drawn = `${asRise ? "Rise over the room" : "Temperature, the room in it"}, from the moment the load came on: ${setting}, the newest run of each build that has a log of it.`;
  const lacking = without.length === 0 ? "" : ` No log of it: ${inWords(without)}.`;
  return [
    { as: "chart", name: "heat", caption: `${drawn}${lacking}` },
    ...table(
      "heat",
      `Heat at ${setting}, each from one run.`,
      columnsFor(builds[0]?.chip.clockUnit ?? "MHz"),
      rows,
    ),
  ];
}
