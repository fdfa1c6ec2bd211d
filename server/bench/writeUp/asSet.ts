import { type KnobValues, knobValueWords } from "../things/asSet.ts";
import { type Knob, knobAt } from "../things/knob.ts";
import { knobsBeside, timingKnobs, timingsWritten } from "../things/timings.ts";
import { versionSubjects, versionsAt } from "../things/version.ts";
import { withinSentence } from "../things/words.ts";
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
  const caption = `${build.name}: the hardest ${withinSentence(name)} that held${where}, and what crashed beyond it.${togetherWords(byOffset)}`;
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
  list([...knobLines(build), ...versionLines(build), ...placeLines(build), ...conductLines(build)]);

const mostValues = 4;

/** Each knob that any attempt named, the timings of a memory as one: at what it stood, the most often first. */
function knobLines({ chip, runs }: AccountedBuild): string[] {
  const isNamed = ({ id }: Knob): boolean =>
    runs.some(({ knobs }) => knobs != null && Object.hasOwn(knobs, id));
  const all = { kind: chip.kind, knobs: chip.knobs ?? [] };
  const timings = timingKnobs(all);
  const isLine = timings.length > 1 && timings.some(isNamed);
  const others = isLine ? knobsBeside(all) : all.knobs;
  return [
    ...(isLine ? [stoodLine("Timings", runs, (knobs) => timingsWritten(timings, knobs))] : []),
    ...others
      .filter(isNamed)
      .map((knob) =>
        stoodLine(knob.name, runs, (knobs) => `${knobValueWords(knobAt(knob, knobs))} ${knob.unit}`.trim()),
      ),
  ];
}

function stoodLine(
  name: string,
  runs: AccountedBuild["runs"],
  wordsOf: (knobs: KnobValues | null) => string,
): string {
  const times = new Map<string, number>();
  for (const { knobs } of runs) {
    const words = wordsOf(knobs ?? null);
    times.set(words, (times.get(words) ?? 0) + 1);
  }
  const often = [...times].sort(([, one], [, other]) => other - one);
  const told = often.slice(0, mostValues).map(([words, n]) => `${words} in ${counted(n, "attempt")}`);
  const rest = often.length - told.length;
  return `${name}: ${inWords(rest > 0 ? [...told, counted(rest, "more value")] : told)}.`;
}

/** Under which firmware and driver how many attempts ran, where the build has any written down. */
function versionLines({ versions = [], runs }: AccountedBuild): string[] {
  return versionSubjects.flatMap((subject) => {
    const own = versions.filter(({ of }) => of === subject);
    if (own.length === 0) return [];
    const ran = runs.map(({ startedAt }) => versionsAt(own, startedAt)[subject]?.id ?? null);
    const before = ran.filter((id) => id === null).length;
    const told = own.map(({ id, name, since }) => {
      const from = since === null ? "" : ` since ${since.slice(0, 10)}`;
      return `${name}${from}, ${counted(ran.filter((one) => one === id).length, "attempt")}`;
    });
    const earlier = before === 0 ? [] : [`an earlier one, ${counted(before, "attempt")}`];
    return [`${subject === "driver" ? "Driver" : "Firmware"}: ${[...earlier, ...told].join("; ")}.`];
  });
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
