import { knobValueWords } from "../things/asSet.ts";
import { type Knob, knobAt } from "../things/knob.ts";
import type { AccountedBuild } from "./account.ts";
import { type Block, column, list, table, wordsColumn } from "./block.ts";
import { conductLines } from "./conduct.ts";
import { counted, figure, inWords, minutesFigure, signedFigure } from "./figures.ts";

/** How far each part goes along the offset that its chip is set by. */
export function reachByOffset({ build, chip, byOffset }: AccountedBuild, number: number): Block[] {
  if (!byOffset || byOffset.rows.length === 0 || chip.offset === null) return [];
  const { name, unit } = chip.offset;
  const columns = [
    wordsColumn("Part"),
    column("Held", unit),
    column("Passed once", unit),
    column("Crashed from", unit),
    column("Clean time", "min"),
    column("Hottest", "°C"),
    column("Held leaves", "°C"),
  ];
  const rows = byOffset.rows.map((row) => [
    row.part ?? "the chip",
    signedFigure(row.heldOffset, 0),
    signedFigure(row.hardestPassed, 0),
    signedFigure(row.easiestCrash, 0),
    minutesFigure(row.evidence.exposureS),
    figure(row.loadTempC, 0),
    figure(row.marginC, 0),
  ]);
  const where = chip.parts.length > 0 ? " on each part" : "";
  const caption = `${build.name}: the hardest ${name} that held${where}, and what crashed beyond it.${togetherWords(byOffset)}`;
  return table(`offsets-of-${number + 1}`, caption, columns, rows);
}

const togetherWords = ({ together }: NonNullable<AccountedBuild["byOffset"]>): string => {
  if (together === null || together.offsets === null) return "";
  if (together.contestedBy.length > 0)
    return " All together failed at these, or at less: nobody knows which part it was.";
  return together.provedTogether
    ? " All of them have run together as long as the rule asks."
    : " Found one at a time, not proved together.";
};

/** What else was set, how warm each place got that has a reading of its own, and how the attempts were run. */
export const asSetLines = (build: AccountedBuild): Block[] =>
  list([...knobLines(build), ...placeLines(build), ...conductLines(build)]);

const mostValues = 4;

/** Each knob that any attempt named: at what it stood, the most often first. */
function knobLines({ chip, runs }: AccountedBuild): string[] {
  return (chip.knobs ?? []).flatMap((knob) => {
    const isNamed = runs.some(({ knobs }) => knobs != null && Object.hasOwn(knobs, knob.id));
    return isNamed ? [knobLine(knob, runs)] : [];
  });
}

function knobLine(knob: Knob, runs: AccountedBuild["runs"]): string {
  const times = new Map<string, number>();
  for (const { knobs } of runs) {
    const words = `${knobValueWords(knobAt(knob, knobs ?? null))} ${knob.unit}`.trim();
    times.set(words, (times.get(words) ?? 0) + 1);
  }
  const often = [...times].sort(([, one], [, other]) => other - one);
  const told = often.slice(0, mostValues).map(([words, n]) => `${words} in ${counted(n, "attempt")}`);
  const rest = often.length - told.length;
  return `${knob.name}: ${inWords(rest > 0 ? [...told, counted(rest, "more value")] : told)}.`;
}

function placeLines({ chip, runs }: AccountedBuild): string[] {
  const places = new Map<string, number[]>();
  for (const { temps } of runs)
    for (const [place, tempC] of Object.entries(temps ?? {}))
      places.set(place, [...(places.get(place) ?? []), tempC]);
  return [...places].map(([place, read]) => {
    const limits: Readonly<Record<string, number>> = chip.limits ?? {};
    const limit = Object.hasOwn(limits, place)
      ? `, its own limit ${limits[place]} °C`
      : ", no limit of its own";
    const hottest = read.reduce((most, tempC) => Math.max(most, tempC), Number.NEGATIVE_INFINITY);
    return `Read at the ${place}: ${figure(hottest, 0)} °C at most in ${counted(read.length, "attempt")}${limit}.`;
  });
}
