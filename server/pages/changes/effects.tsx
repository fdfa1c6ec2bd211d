import {
  type Effect,
  effectsByMeasure,
  effectWords,
  type MeasureEffects,
} from "../../bench/comparison/changeEffects.ts";
import { verdictWords } from "../../bench/comparison/verdict.ts";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Entry } from "../../html/entry.tsx";
import { decimalsFor, formatNumber, formatSigned } from "../../html/format.ts";
import { type IntervalRow, IntervalSvg } from "../../html/intervalSvg.tsx";
import { type Column, Table } from "../../html/table.tsx";
import { paths } from "../paths.ts";

export type BuildNames = ReadonlyMap<string, string>;

const digitsOf = ({ low, high, difference }: Effect): number => {
  if (low !== null && high !== null) return Math.min(2, decimalsFor((high - low) / 2));
  return Number.isInteger(difference) ? 0 : 1;
};

export const rangeWords = (effect: Effect): string => {
  const { low, high } = effect;
  const digits = digitsOf(effect);
  if (low === null && high === null) return "";
  if (low === null) return `at most ${formatNumber(high, digits)}`;
  if (high === null) return `at least ${formatNumber(low, digits)}`;
  return `${formatNumber(low, digits)} to ${formatNumber(high, digits)}`;
};

export const differenceWords = (effect: Effect): string =>
  `${formatSigned(effect.difference, digitsOf(effect))} ${effect.unit}`.trim();

const longest = 26;
const shortened = (words: string): string =>
  words.length <= longest ? words : `${words.slice(0, longest - 1).trimEnd()}…`;

const drawn = (effect: Effect): IntervalRow => {
  const range = rangeWords(effect);
  return {
    label: shortened(effect.change || "a change not named"),
    scale: effect.unit || "score",
    value: effect.difference,
    low: effect.low,
    high: effect.high,
    words: `${differenceWords(effect)}${range ? ` (${range})` : ""}`,
    verdict: effect.verdict === "within-scatter" ? "within scatter" : verdictWords[effect.verdict],
    decided: effect.verdict === "differs",
  };
};

const counts = (pair: readonly [number, number] | null): string =>
  pair === null ? "" : `${pair[0]} · ${pair[1]}`;

const smallWords = { "clock-step": "under a clock step", "worth-having": "too small to care" } as const;

const columnsOf = (names: BuildNames): readonly Column<Effect>[] => [
  {
    head: "Change",
    words: true,
    cell: ({ from, to, change }) => (
      <>
        <a href={paths.compare({ a: from, b: to })}>{change || "a change not named"}</a>
        <br />
        <span class="quiet">
          {names.get(from)} to {names.get(to)}
        </span>
      </>
    ),
  },
  { head: "Effect", strong: true, cell: differenceWords },
  { head: "95 %", cell: rangeWords },
  {
    head: "Verdict",
    words: true,
    cell: ({ verdict, smallerThan }) =>
      smallerThan === null ? verdictWords[verdict] : `${verdictWords[verdict]}, ${smallWords[smallerThan]}`,
  },
  { head: "Where", words: true, cell: ({ setting }) => <span class="quiet">{setting}</span> },
  { head: "Runs", cell: ({ runs }) => counts(runs) },
  { head: "Mounts", cell: ({ mounts }) => counts(mounts) },
];

const MeasureSection = ({ of, names }: { of: MeasureEffects; names: BuildNames }) => {
  const { measure, effects } = of;
  const rows = effects.map(drawn);
  const heading = effectWords(measure);
  const title = `Effect of each change on ${heading}, with 95 % intervals`;
  const undecided = effects.find(({ wouldDecide }) => wouldDecide !== null);
  return (
    <Entry aside={<ChartLinks name={`effect-${measure}`} table={`effect-table-${measure}`} />}>
      <h2>{`${heading.charAt(0).toUpperCase()}${heading.slice(1)}`}</h2>
      <ChartFigure
        name={`effect-${measure}`}
        kind="still"
        caption="After the change less before it. The bar is where the effect may lie; a hollow mark is not decided."
        narrow={<IntervalSvg title={title} rows={rows} nothing="no effect" narrow />}
      >
        <IntervalSvg title={title} rows={rows} nothing="no effect" />
      </ChartFigure>
      <Table
        id={`effect-table-${measure}`}
        caption={`Effects on ${heading}`}
        columns={columnsOf(names)}
        rows={effects}
      />
      {undecided?.wouldDecide ? (
        <p class="prose quiet">
          {undecided.change || "A change"}: {undecided.wouldDecide}
        </p>
      ) : null}
    </Entry>
  );
};

/** What every change did, measure by measure, the largest effect first. */
export const Effects = ({ effects, names }: { effects: readonly Effect[]; names: BuildNames }) => (
  <>
    {effectsByMeasure(effects).map((of) => (
      <MeasureSection key={of.measure} of={of} names={names} />
    ))}
  </>
);
